# SPDX-License-Identifier: Apache-2.0
"""PSNR of what the program makes of validation pictures, as its users get it: files in, files out, the engine's own
measures, consistency and resampler; beside bicubic and Lanczos. Coded pictures go in as PNG, whose samples alone tell
of the coding, or with --jpeg as the JPEG files themselves, which Pillow writes and reads.

    python3 through_program.py VALIDATION HANGTRUE --way fine --grain calm
    python3 through_program.py VALIDATION HANGTRUE --way fine --jpeg
    python3 through_program.py VALIDATION HANGTRUE --way fine --factors 1.1 1.3 1.5 2 3 4
"""

import argparse
import math
import subprocess
import tempfile
from dataclasses import dataclass, replace
from pathlib import Path

import numpy
import torch
from PIL import Image

import degrade
import measure
import photographs


@dataclass(frozen=True)
class Trial:
    name: str
    factor: float
    case: measure.Case


def trials_of(options: argparse.Namespace) -> list[Trial]:
    if options.factors:
        return [Trial(f"{factor:g}x", factor, measure.CLEAN) for factor in options.factors]
    cases = [case for case in (measure.CLEAN, *measure.DAMAGED) if case.as_jpeg]
    return [Trial(case.name, 2, case) for case in cases if case.quality < 100 or not options.jpeg]


def pair(large: torch.Tensor, trial: Trial, seed: int) -> tuple[torch.Tensor, torch.Tensor]:
    """The small picture and the large one, cut so that the factor gives whole pixels."""
    if trial.factor == 2:
        return measure.small_picture(large, trial.case, seed), large
    # Hundredths of the factor over their common divisor with 100: 1.3 -> sides of 130 k over 100 k.
    parts = math.gcd(round(100 * trial.factor), 100)
    of_large, of_small = round(100 * trial.factor) // parts, 100 // parts
    height, width = (side // of_large for side in large.shape[2:])
    large = large[..., : height * of_large, : width * of_large]
    return degrade.to_8_bit(degrade.reduce(large, height * of_small, width * of_small)), large


def load(path: Path) -> torch.Tensor:
    with Image.open(path) as image:
        return torch.from_numpy(numpy.asarray(image.convert("RGB")).copy()).permute(2, 0, 1)[None].float() / 255


def save(picture: torch.Tensor, path: Path, **options: int) -> None:
    samples = (picture[0].permute(1, 2, 0) * 255).round().clamp(0, 255).byte().numpy()
    Image.fromarray(samples).save(path, **options)


def as_jpeg(large: torch.Tensor, trial: Trial, seed: int, path: Path) -> torch.Tensor:
    """Writes the small picture as a JPEG with halved colour, and gives what is read of that."""
    uncoded = replace(trial, case=replace(trial.case, quality=100))
    save(pair(large, uncoded, seed)[0], path, quality=trial.case.quality, subsampling=2)
    return load(path)


def by_filter(small: torch.Tensor, height: int, width: int, kernel: Image.Resampling) -> torch.Tensor:
    planes = [Image.fromarray(plane.numpy()).resize((width, height), kernel) for plane in small[0]]
    return torch.from_numpy(numpy.stack([numpy.asarray(plane) for plane in planes]))[None]


def by_program(source: Path, trial: Trial, folder: Path, options: argparse.Namespace) -> torch.Tensor:
    result = folder / "large.png"
    command = [options.program, "enlarge", source, result, "--factor", f"{trial.factor:g}", "--replace", "--quiet",
               "--data", folder / "data", "--enlarge", options.way]
    command += [] if options.way == "filter" else ["--grain", options.grain]
    command += ["--models", options.models] if options.models else []
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
    return load(result)


def run(options: argparse.Namespace) -> None:
    pictures = photographs.validation_pictures(options.validation)
    trials = [trial for trial in trials_of(options) if not options.only or trial.name in options.only]
    print("| small picture | dB | better of bicubic and Lanczos | gain | least gain of a picture |")
    print("| --- | --- | --- | --- | --- |")
    with tempfile.TemporaryDirectory() as name:
        for trial in trials:
            ours, theirs = [], []
            for index, whole in enumerate(pictures):
                small, large = pair(whole, trial, seed=index)
                source = Path(name) / ("small.jpg" if options.jpeg else "small.png")
                if options.jpeg:
                    small = as_jpeg(whole, trial, index, source)
                else:
                    save(small, source)
                border = math.ceil(trial.factor)
                ours.append(measure.psnr(by_program(source, trial, Path(name), options), large, border))
                theirs.append(max(
                    measure.psnr(by_filter(small, *large.shape[2:], kernel), large, border)
                    for kernel in (Image.Resampling.BICUBIC, Image.Resampling.LANCZOS)))
            gains = [a - b for a, b in zip(ours, theirs, strict=True)]
            count = len(gains)
            print(f"| {trial.name} | {sum(ours) / count:.3f} | {sum(theirs) / count:.3f} | {sum(gains) / count:+.2f} "
                  f"| {min(gains):+.2f} |", flush=True)
            if options.each:
                print("   ", " ".join(f"{gain:+.2f}" for gain in gains), flush=True)


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("validation", type=Path)
    parser.add_argument("program", type=Path)
    parser.add_argument("--way", default="fine", help="fine, quick, filter or auto")
    parser.add_argument("--grain", default="calm", choices=("calm", "keep"))
    parser.add_argument("--models", type=Path, help="folder of the weights")
    parser.add_argument("--factors", type=float, nargs="+", help="clean pictures at these factors, instead of 2x")
    parser.add_argument("--jpeg", action="store_true", help="coded pictures go in as JPEG files")
    parser.add_argument("--only", nargs="+", help="kinds by their names")
    parser.add_argument("--each", action="store_true", help="the gain of each picture too")
    run(parser.parse_args())
