# SPDX-License-Identifier: Apache-2.0
"""What the engine tells the network: the noise and blur that it measures of small pictures.

The network is trained with these, not with what was done to the pictures, so that it learns how far they can be
trusted. Measuring takes longer than a training step, so a table is made once: for each photograph, many draws of damage
and what `measure_pictures` (built with the engine) measured of the photograph's tiles, damaged so.

    python3 told.py PHOTOGRAPHS VALIDATION MEASURE_PICTURES OUT.npz
"""

import argparse
import subprocess
from dataclasses import dataclass, fields
from pathlib import Path

import numpy
import torch

import degrade
import measure
import photographs

# How many times a training photograph is reduced before it is the large picture: to finer structure than it has. Each
# stands for a range of such factors.
SCALES = (1.0, 4 / 3, 2.0)
SCALE_RANGES = ((1.0, 1.0), (1.1, 1.6), (1.6, 2.0))
SCALE_SHARES = (0.5, 0.25, 0.25)
CLEAN_DRAWS = 3  # Of each scale and photograph…
DAMAGED_DRAWS = 12  # …and as many that are damaged.
MOST_TILES = 8  # Measured together: a picture of about 360 x 360.


class Program:
    """`measure_pictures`, running."""

    def __init__(self, path: Path):
        self.process = subprocess.Popen([path], stdin=subprocess.PIPE, stdout=subprocess.PIPE)

    def measured(self, small: torch.Tensor) -> tuple[float, float]:
        """Noise (0..1) and blur (pixels) of small pictures, N x 3 x H x W, as one picture: one below the other. The
        engine looks at bands of 32 rows, so the seams are not seen where H is a multiple of 32."""
        n, _, height, width = small.shape
        samples = (small.permute(0, 2, 3, 1) * 255).round().byte().contiguous().numpy()
        self.process.stdin.write(f"{width} {n * height}\n".encode() + samples.tobytes())
        self.process.stdin.flush()
        noise, blur = map(float, self.process.stdout.readline().split())
        return noise / 255, blur


@dataclass(frozen=True)
class Draws:
    """One row a draw."""

    photograph: torch.Tensor
    scale: torch.Tensor  # Index into SCALES.
    damage: degrade.Damage
    noise: torch.Tensor  # Measured, 0..1.
    blur: torch.Tensor  # Measured, pixels.

    def __getitem__(self, some) -> "Draws":
        return Draws(self.photograph[some], self.scale[some], self.damage[some], self.noise[some], self.blur[some])

    def measures(self, recognised: torch.Tensor) -> torch.Tensor:
        """What the network is told, N x 3; a JPEG that comes as another kind of file is not recognised."""
        coding = degrade.coding(self.damage.quality)
        return torch.stack((self.noise, self.blur, torch.where(recognised, coding, torch.zeros_like(coding))), 1)


DAMAGE_FIELDS = tuple(field.name for field in fields(degrade.Damage))


def joined(parts: list[Draws]) -> Draws:
    damage = degrade.Damage(*(torch.cat([getattr(p.damage, name) for p in parts]) for name in DAMAGE_FIELDS))
    rest = ([getattr(p, name) for p in parts] for name in ("photograph", "scale", "noise", "blur"))
    photograph, scale, noise, blur = map(torch.cat, rest)
    return Draws(photograph, scale, damage, noise, blur)


def load(path: Path, device: torch.device) -> Draws:
    table = numpy.load(path)

    def column(name: str) -> torch.Tensor:
        return torch.from_numpy(table[name]).to(device)

    damage = degrade.Damage(*(column(name) for name in DAMAGE_FIELDS))
    return Draws(column("photograph"), column("scale"), damage, column("measured_noise"), column("measured_blur"))


def softness(draws: Draws) -> torch.Tensor:
    """The blur that is measured of each photograph at each scale where nothing was done to it."""
    damage = draws.damage
    clean = (damage.blur == 0) & (damage.noise == 0) & (damage.quality == 100)
    place = draws.photograph * len(SCALES) + draws.scale
    sums = torch.zeros(2, (int(draws.photograph.max()) + 1) * len(SCALES), device=place.device)
    sums[0].scatter_add_(0, place[clean], draws.blur[clean])
    sums[1].scatter_add_(0, place[clean], torch.ones_like(draws.blur[clean]))
    return (sums[0] / sums[1]).view(-1, len(SCALES))


def of_validation(path: Path) -> dict[tuple[str, int], tuple[float, float]]:
    """By name of the case and number of the picture: noise and blur as measured."""
    table = numpy.load(path)
    return {(str(case), int(picture)): (float(noise), float(blur)) for case, picture, noise, blur in zip(
        table["case"], table["picture"], table["case_noise"], table["case_blur"], strict=True)}


def draws_of(photograph: int, tiles: torch.Tensor, program: Program) -> list[tuple]:
    rows = []
    for index, scale in enumerate(SCALES):
        side = round(photographs.TILE / scale)
        large = tiles.float() / 255 if scale == 1 else degrade.reduce(tiles.float() / 255, side, side).clamp(0, 1)
        small = degrade.halve(large)
        damages = [degrade.no_damage(1)] * CLEAN_DRAWS + [degrade.random_damage(1) for _ in range(DAMAGED_DRAWS)]
        for draw, damage in enumerate(damages):
            # The first with all tiles, then any number of them: small pictures are told less surely.
            count = len(small) if draw == 0 else int(torch.randint(1, len(small) + 1, ()))
            some = small[torch.randperm(len(small))[:count]]
            every = degrade.Damage(*(getattr(damage, name).expand(count) for name in DAMAGE_FIELDS))
            measured = program.measured(degrade.damaged(some, every))
            rows.append((photograph, index, *(float(getattr(damage, name)) for name in DAMAGE_FIELDS), *measured))
    return rows


def make(options: argparse.Namespace) -> None:
    torch.manual_seed(options.seed)
    program = Program(options.program)
    cases = []
    for index, large in enumerate(photographs.validation_pictures(options.validation)):
        for case in (measure.CLEAN, *measure.DAMAGED):
            cases.append((case.name, index, *program.measured(measure.small_picture(large, case, seed=index))))

    tiles = photographs.training_tiles(options.photographs)
    rows = []
    for photograph in range(int(tiles.photograph.max()) + 1):
        own = tiles.pixels[tiles.photograph == photograph]
        rows += draws_of(photograph, own[torch.randperm(len(own))[:MOST_TILES]], program)
        if photograph % 50 == 0:
            print(f"{photograph + 1} photographs", flush=True)

    columns = zip(("photograph", "scale", *DAMAGE_FIELDS, "measured_noise", "measured_blur"), zip(*rows), strict=True)
    table = {name: numpy.array(values, numpy.float32) for name, values in columns}
    table["photograph"] = table["photograph"].astype(numpy.int64)
    table["scale"] = table["scale"].astype(numpy.int64)
    case_columns = zip(("case", "picture", "case_noise", "case_blur"), zip(*cases), strict=True)
    numpy.savez_compressed(options.out, **table, **{name: numpy.array(values) for name, values in case_columns})


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("photographs", type=Path)
    parser.add_argument("validation", type=Path)
    parser.add_argument("program", type=Path, help="measure_pictures, as built")
    parser.add_argument("out", type=Path)
    parser.add_argument("--seed", type=int, default=1)
    make(parser.parse_args())
