# SPDX-License-Identifier: Apache-2.0
"""Trains one enlarging network for a given time and keeps a checkpoint from which it can be continued."""

import argparse
import copy
import json
import math
import time
from pathlib import Path

import torch

import degrade
import export
import measure
import photographs
from network import Network, Shape, merged


class Batches:
    """Endless batches of large pictures, cut from the tiles as varied as they can be without leaving the GPU."""

    def __init__(self, tiles: torch.Tensor, size: int, batch: int):
        self.tiles = tiles
        self.size = size
        self.batch = batch

    def _cut(self, count: int, source: int) -> torch.Tensor:
        """`count` squares of `source` pixels from anywhere in any tile, each perhaps mirrored: float 0..1."""
        device = self.tiles.device
        tile = torch.randint(len(self.tiles), (count,), device=device)
        steps = torch.arange(source, device=device)

        def positions() -> torch.Tensor:
            start = torch.randint(photographs.TILE - source + 1, (count, 1), device=device)
            back = torch.rand(count, 1, device=device) < 0.5
            return start + torch.where(back, source - 1 - steps, steps)

        rows, columns = positions(), positions()
        cut = self.tiles[tile[:, None, None], :, rows[:, :, None], columns[:, None, :]]
        return cut.permute(0, 3, 1, 2).float() / 255

    def next(self) -> torch.Tensor:
        """Half of the batch at the photograph's own scale, half reduced by up to 1.6 (finer structure than any
        photograph has); half of each with permuted colour channels; half of all batches transposed."""
        half = self.batch // 2
        source = int(torch.randint(self.size, photographs.TILE + 1, ()))
        reduced = degrade.reduce(self._cut(half, source), self.size, self.size)
        large = torch.cat((self._cut(self.batch - half, self.size), reduced.clamp(0, 1)))
        large = large[torch.randperm(self.batch, device=large.device)]
        large[::2] = large[::2, torch.randperm(3, device=large.device)]
        return large.transpose(2, 3) if torch.rand(()) < 0.5 else large


class Average:
    """The running mean of a network's weights."""

    def __init__(self, network: Network, keep: float):
        self.network = copy.deepcopy(network).requires_grad_(False)
        self.keep = keep
        self.steps = 0

    @torch.no_grad()
    def update(self, network: Network) -> None:
        self.steps += 1
        keep = min(self.keep, self.steps / (self.steps + 10))
        means, now = list(self.network.parameters()), list(network.parameters())
        torch._foreach_mul_(means, keep)
        torch._foreach_add_(means, now, alpha=1 - keep)


def learning_rate(options: argparse.Namespace, part: float) -> float:
    """Up within the first fiftieth, then down along a cosine; `part` is the part of the time that is over."""
    warm = min(1.0, part / 0.02)
    return options.rate * warm * (0.01 + 0.99 * 0.5 * (1 + math.cos(math.pi * part)))


def report(network: Network, pictures: list[torch.Tensor]) -> dict:
    """Mean PSNR clean, and mean and least gain over bicubic and Lanczos where damaged."""
    network = merged(network).to(pictures[0].device).eval()
    filters = [measure.by_filter(k) for k in (measure.Image.Resampling.BICUBIC, measure.Image.Resampling.LANCZOS)]
    clean = measure.psnr_of_all(measure.by_network(network), pictures, measure.CLEAN)
    plain = measure.psnr_of_all(filters[0], pictures, measure.CLEAN)
    result = {"clean_db": sum(clean) / len(clean), "bicubic_db": sum(plain) / len(plain), "damaged": {}}
    for case in measure.DAMAGED:
        ours = measure.psnr_of_all(measure.by_network(network), pictures, case)
        theirs = [max(pair) for pair in zip(*(measure.psnr_of_all(f, pictures, case) for f in filters))]
        gains = [a - b for a, b in zip(ours, theirs)]
        result["damaged"][case.name] = {"mean_gain_db": sum(gains) / len(gains), "least_gain_db": min(gains)}
    return result


def resume(network: Network, weights: dict[str, torch.Tensor]) -> None:
    """Goes on from a checkpoint, also of a network that knew fewer measures or was not trained wide."""
    own = network.state_dict()
    for name, value in own.items():
        if name not in weights:
            value.zero_() if name.endswith("gather") else None
        elif value.shape == weights[name].shape:
            value.copy_(weights[name])
        else:
            value[:, : weights[name].shape[1]].copy_(weights[name])
            value[:, weights[name].shape[1] :].zero_()


def save(network: Network, options: argparse.Namespace) -> None:
    options.out.mkdir(parents=True, exist_ok=True)
    torch.save({"shape": network.shape.as_dict(), "wide": options.wide, "weights": network.state_dict()},
               options.out / f"{options.name}.pt")


def train(options: argparse.Namespace) -> None:
    torch.manual_seed(options.seed)
    torch.backends.cudnn.allow_tf32 = True
    torch.backends.cudnn.benchmark = True
    device = torch.device(options.device)
    batches = Batches(photographs.training_tiles(options.photographs).to(device), 2 * options.patch, options.batch)
    pictures = [p.to(device) for p in photographs.validation_pictures(options.validation)]

    shape = Shape(options.channels, options.blocks)
    network = Network(shape, options.wide).to(device, memory_format=torch.channels_last)
    if options.resume:
        if options.resume.suffix == ".weights":
            resume(network, export.weights_of(options.resume))
        else:
            resume(network, torch.load(options.resume, map_location=device)["weights"])
    average = Average(network, options.average)
    compiled = torch.compile(network) if options.compile else network
    optimiser = torch.optim.Adam(network.parameters(), lr=options.rate, betas=(0.9, 0.99), fused=device.type == "cuda")
    half_until = 0.75 if device.type == "cuda" else 0.0  # The last quarter runs in 32 bits.

    began = time.monotonic()
    step = 0
    next_line = 0.0
    while (part := (time.monotonic() - began) / options.seconds) < 1:
        for group in optimiser.param_groups:
            group["lr"] = learning_rate(options, part)
        large = batches.next()
        small, measures = degrade.small_pictures(large, options.clean_share)
        small = small.contiguous(memory_format=torch.channels_last)
        with torch.autocast(device.type, torch.bfloat16, enabled=part < half_until):
            result = compiled(small, measures)
        if options.squares_from <= part:
            loss = ((result - large) ** 2).mean() * 20
        else:
            loss = (result - large).abs().mean()
        optimiser.zero_grad(set_to_none=True)
        loss.backward()
        torch.nn.utils.clip_grad_norm_(network.parameters(), options.clip)
        optimiser.step()
        average.update(network)
        step += 1
        if part >= next_line:
            torch.cuda.synchronize() if device.type == "cuda" else None
            quick = measure.psnr_of_all(measure.by_network(average.network.eval()), pictures[:4], measure.CLEAN)
            print(f"{options.name} {time.monotonic() - began:5.0f} s, step {step}, loss {loss.item():.5f}, "
                  f"clean {sum(quick) / len(quick):.3f} dB", flush=True)
            save(average.network, options)
            next_line = part + options.line_every

    result = {"name": options.name, "shape": shape.as_dict(), "wide": options.wide, "steps": step,
              "seconds": options.seconds, "batch": options.batch, "patch": options.patch, "seed": options.seed,
              "macs_per_pixel": network.macs_per_pixel(), **report(average.network, pictures)}
    save(average.network, options)
    (options.out / f"{options.name}.json").write_text(json.dumps(result, indent=1) + "\n")
    worst = min(case["least_gain_db"] for case in result["damaged"].values())
    mean = sum(case["mean_gain_db"] for case in result["damaged"].values()) / len(result["damaged"])
    print(f"{options.name} done: {step} steps, clean {result['clean_db']:.3f} dB (bicubic {result['bicubic_db']:.3f}), "
          f"damaged +{mean:.2f} dB, least {worst:+.2f} dB", flush=True)


def options_of(arguments: list[str] | None = None) -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("photographs", type=Path, help="folder of training photographs, strips of 256 px tiles")
    parser.add_argument("validation", type=Path, help="folder of validation pictures")
    parser.add_argument("out", type=Path, help="folder for the checkpoint and its figures")
    parser.add_argument("--name", default="network")
    parser.add_argument("--channels", type=int, default=64)
    parser.add_argument("--blocks", type=int, default=10)
    parser.add_argument("--wide", type=int, default=2, help="times the channels between the two parallel convolutions")
    parser.add_argument("--seconds", type=float, default=240)
    parser.add_argument("--batch", type=int, default=256)
    parser.add_argument("--patch", type=int, default=64, help="side of the small picture, pixels")
    parser.add_argument("--rate", type=float, default=1e-3)
    parser.add_argument("--clip", type=float, default=1.0, help="largest norm of the gradient")
    parser.add_argument("--average", type=float, default=0.999, help="what a step keeps of the running mean")
    parser.add_argument("--clean-share", type=float, default=0.6, help="part of each batch that is not damaged")
    parser.add_argument("--squares-from", type=float, default=2.0, help="part of the time after which errors are squared")
    parser.add_argument("--resume", type=Path, help="checkpoint or weights file to go on from")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--device", default="cuda")
    parser.add_argument("--compile", action=argparse.BooleanOptionalAction, default=True)
    parser.add_argument("--line-every", type=float, default=0.1, help="part of the time between two lines")
    return parser.parse_args(arguments)


if __name__ == "__main__":
    train(options_of())
