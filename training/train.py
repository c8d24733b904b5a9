# SPDX-License-Identifier: Apache-2.0
"""Trains one enlarging network for a given time and keeps a checkpoint from which it can be continued."""

import argparse
import copy
import json
import math
import time
from pathlib import Path
from typing import NamedTuple

import torch

import degrade
import export
import measure
import photographs
import told
from network import OWN_RESULT, Network, Shape, doubled, merged


class Batch(NamedTuple):
    large: torch.Tensor  # What is wanted.
    small: torch.Tensor  # What the network gets…
    measures: torch.Tensor  # …and what it is told of it.
    weight: torch.Tensor  # How much each counts.


class Batches:
    """Endless batches, cut from the tiles as varied as they can be without leaving the GPU."""

    def __init__(self, tiles: photographs.Tiles, draws: told.Draws, options: argparse.Namespace):
        device = torch.device(options.device)
        self.pixels = tiles.pixels.to(device)
        counts = torch.bincount(tiles.photograph)
        self.count = counts.to(device)  # Of each photograph's tiles…
        self.first = (counts.cumsum(0) - counts).to(device)  # …and the first of them.
        self.draws = draws
        damage = draws.damage
        blurred = damage.blur > 0
        clean = ~blurred & (damage.noise == 0) & (damage.quality == 100)
        kinds = (clean, ~clean & ~blurred, blurred)
        # Those that are soft by nature come more often: they are few, and all that tells them from blurred ones is fine.
        softness = told.softness(draws)
        often = 1 + 2 * (softness[draws.photograph, draws.scale] > 0.45).long()
        every = torch.arange(len(often), device=device)
        self.rows = [[torch.repeat_interleave(every, often * (kind & (draws.scale == scale))) for kind in kinds]
                     for scale in range(len(told.SCALES))]
        self.shares = (options.clean_share, options.sharp_share)  # Of the first two kinds; the third has the rest.
        rest = 1 - options.soft_share
        self.scale_shares = (0.5 * rest, 0.25 * rest, 0.25 * rest, *(3 * (options.soft_share / 3,)))
        self.size = 2 * options.patch
        self.batch = options.batch
        self.not_as_jpeg = options.not_as_jpeg
        # A decibel counts alike in every photograph: errors are divided by what the cubic alone gives.
        plain = torch.stack([(doubled(degrade.halve(tile)) - tile).abs().mean() for tile in (
            tile[None].float() / 255 for tile in self.pixels)])
        of_photograph = torch.zeros(len(counts), device=device).scatter_add_(0, tiles.photograph.to(device), plain)
        self.weight = 1 / (of_photograph / self.count + 0.002)
        self.weight /= self.weight[tiles.photograph.to(device)].mean()

    def _draws(self, scale: int, count: int) -> told.Draws:
        counts = [round(count * share) for share in self.shares]
        counts.append(count - sum(counts))
        return self.draws[torch.cat([rows[torch.randint(len(rows), (some,), device=rows.device)]
                                     for rows, some in zip(self.rows[scale], counts, strict=True)])]

    def _told(self, draws: told.Draws) -> torch.Tensor:
        return draws.measures(torch.rand(draws.noise.shape, device=draws.noise.device) >= self.not_as_jpeg)

    def _cut(self, photograph: torch.Tensor, source: int) -> torch.Tensor:
        """Squares of `source` pixels from anywhere in any tile of each photograph, perhaps mirrored: float 0..1."""
        count = len(photograph)
        device = self.pixels.device
        tile = self.first[photograph] + (torch.rand(count, device=device) * self.count[photograph]).long()
        steps = torch.arange(source, device=device)

        def positions() -> torch.Tensor:
            start = torch.randint(photographs.TILE - source + 1, (count, 1), device=device)
            back = torch.rand(count, 1, device=device) < 0.5
            return start + torch.where(back, source - 1 - steps, steps)

        rows, columns = positions(), positions()
        cut = self.pixels[tile[:, None, None], :, rows[:, :, None], columns[:, None, :]]
        return cut.permute(0, 3, 1, 2).float() / 255

    def next(self) -> Batch:
        """Half of the pictures with permuted colour channels; half of all batches transposed."""
        larges, smalls, chosen = [], [], []
        left = self.batch
        for scale, share in reversed(list(enumerate(self.scale_shares))):
            count = left if scale == 0 else round(self.batch * share)
            left -= count
            draws = self._draws(scale, count)
            least, most = told.SCALE_RANGES[scale]
            source = round(self.size * (least + (most - least) * float(torch.rand(()))))
            cut = self._cut(draws.photograph, source)
            half = self.size // 2
            if scale in told.SOFT_SCALES:
                large, small = degrade.enlarge(cut, self.size, self.size), degrade.reduce(cut, half, half)
            else:
                large = cut if source == self.size else degrade.reduce(cut, self.size, self.size).clamp(0, 1)
                small = degrade.halve(large)
            larges.append(large)
            smalls.append(small)
            chosen.append(draws)
        draws = told.joined(chosen)
        large, small = torch.cat(larges), torch.cat(smalls)
        some = torch.rand(self.batch, device=large.device) < 0.5
        colours = torch.randperm(3, device=large.device)
        large[some], small[some] = large[some][:, colours], small[some][:, colours]
        if torch.rand(()) < 0.5:
            large, small = large.transpose(2, 3), small.transpose(2, 3)
        small = degrade.damaged(small, draws.damage)
        return Batch(large, small, self._told(draws), self.weight[draws.photograph])

    @torch.no_grad()
    def again(self, network: Network, count: int) -> Batch:
        """Enlarging once more what `network` has enlarged once."""
        draws = self._draws(told.SCALE_OF_OWN_RESULT, count)
        cut = self._cut(draws.photograph, 2 * self.size)
        half = self.size // 2
        small = degrade.damaged(degrade.reduce(cut, half, half), draws.damage)
        once = network(small, self._told(draws))
        y, x = torch.randint(0, half + 1, (2,)).tolist()
        part = once[..., y : y + half, x : x + half]
        large = cut[..., 2 * y : 2 * y + self.size, 2 * x : 2 * x + self.size]
        return Batch(large, part, part.new_tensor(OWN_RESULT).expand(count, 3), self.weight[draws.photograph])


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


def report(network: Network, pictures: list[torch.Tensor], of_pictures: measure.Told) -> dict:
    """Mean PSNR clean, and mean and least gain over bicubic and Lanczos where damaged."""
    network = merged(network).to(pictures[0].device).eval()
    filters = [measure.by_filter(k) for k in (measure.Image.Resampling.BICUBIC, measure.Image.Resampling.LANCZOS)]
    clean = measure.psnr_of_all(measure.by_network(network), pictures, measure.CLEAN, of_pictures)
    plain = measure.psnr_of_all(filters[0], pictures, measure.CLEAN, of_pictures)
    result = {"clean_db": sum(clean) / len(clean), "bicubic_db": sum(plain) / len(plain),
              "four_times_db": measure.psnr_of_four_times(network, pictures), "damaged": {}}
    result["own_scale"] = {}
    for factor in measure.OWN_SCALE:
        ours = measure.psnr_of_own_scale(measure.by_network(network), pictures, factor, of_pictures)
        theirs = measure.psnr_of_own_scale(filters[0], pictures, factor, of_pictures)
        gains = [a - b for a, b in zip(ours, theirs)]
        result["own_scale"][f"{factor:g}x"] = {"mean_gain_db": sum(gains) / len(gains), "least_gain_db": min(gains),
                                               "gains_db": [round(gain, 2) for gain in gains]}
    for case in measure.DAMAGED:
        ours = measure.psnr_of_all(measure.by_network(network), pictures, case, of_pictures)
        theirs = [max(pair) for pair in zip(*(measure.psnr_of_all(f, pictures, case, of_pictures) for f in filters))]
        gains = [a - b for a, b in zip(ours, theirs)]
        result["damaged"][case.name] = {"mean_gain_db": sum(gains) / len(gains), "least_gain_db": min(gains),
                                             "gains_db": [round(gain, 2) for gain in gains]}
    return result


def resume(network: Network, weights: dict[str, torch.Tensor]) -> None:
    """Goes on from a checkpoint, also of a network that knew fewer measures, was not trained wide or had fewer blocks:
    what is new adds nothing at first."""
    own = network.state_dict()
    for name, value in own.items():
        if name not in weights:
            if name.endswith(("gather", "second.plain.weight")):
                value.zero_()
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
    tiles = photographs.training_tiles(options.photographs)
    batches = Batches(tiles, told.load(options.told, device), options)
    of_pictures = told.of_validation(options.told)
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
    half_until = 0.85 if device.type == "cuda" else 0.0  # The last part runs in 32 bits.

    began = time.monotonic()
    step = 0
    next_line = 0.0
    while (part := (time.monotonic() - began) / options.seconds) < 1:
        for group in optimiser.param_groups:
            group["lr"] = learning_rate(options, part)
        batch = batches.next()
        if options.again:
            batch = Batch(*map(torch.cat, zip(batch, batches.again(average.network, options.again), strict=True)))
        small = batch.small.contiguous(memory_format=torch.channels_last)
        with torch.autocast(device.type, torch.bfloat16, enabled=part < half_until):
            result = compiled(small, batch.measures)
        if part < options.squares_from:
            loss = (batch.weight * (result - batch.large).abs().mean((1, 2, 3))).mean()
        else:
            loss = 20 * (batch.weight**2 * ((result - batch.large) ** 2).mean((1, 2, 3))).mean()
        optimiser.zero_grad(set_to_none=True)
        loss.backward()
        torch.nn.utils.clip_grad_norm_(network.parameters(), options.clip)
        optimiser.step()
        average.update(network)
        step += 1
        if part >= next_line:
            torch.cuda.synchronize() if device.type == "cuda" else None
            quick = measure.psnr_of_all(measure.by_network(average.network.eval()), pictures[:4], measure.CLEAN, of_pictures)
            print(f"{options.name} {time.monotonic() - began:5.0f} s, step {step}, loss {loss.item():.5f}, "
                  f"clean {sum(quick) / len(quick):.3f} dB", flush=True)
            save(average.network, options)
            next_line = part + options.line_every

    result = {"name": options.name, "shape": shape.as_dict(), "wide": options.wide, "steps": step,
              "seconds": options.seconds, "batch": options.batch, "patch": options.patch, "seed": options.seed,
              "macs_per_pixel": network.macs_per_pixel(), **report(average.network, pictures, of_pictures)}
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
    parser.add_argument("told", type=Path, help="table made by told.py")
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
    parser.add_argument("--clean-share", type=float, default=0.45, help="part of each batch that is not damaged")
    parser.add_argument("--sharp-share", type=float, default=0.3, help="part that is damaged, but not blurred")
    parser.add_argument("--soft-share", type=float, default=0.18, help="part of photographs at their own scale, soft ones")
    parser.add_argument("--not-as-jpeg", type=float, default=0.5, help="part of all JPEGs that come as another kind")
    parser.add_argument("--again", type=int, default=32, help="pictures of each step that the network enlarged before")
    parser.add_argument("--squares-from", type=float, default=0.7, help="part of the time after which errors are squared")
    parser.add_argument("--resume", type=Path, help="checkpoint or weights file to go on from")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--device", default="cuda")
    parser.add_argument("--compile", action=argparse.BooleanOptionalAction, default=True)
    parser.add_argument("--line-every", type=float, default=0.1, help="part of the time between two lines")
    return parser.parse_args(arguments)


if __name__ == "__main__":
    train(options_of())
