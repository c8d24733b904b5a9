# SPDX-License-Identifier: Apache-2.0
"""What the engine tells the network: the noise, blur and JPEG coding that it measures of small pictures.

The network is trained with these, not with what was done to the pictures, so that it learns how far they can be
trusted. Measuring takes longer than a training step, so a table is made once: for each photograph, many draws of damage
and what `measure_pictures` (built with the engine) measured of the photograph's tiles, damaged so.

    python3 told.py PHOTOGRAPHS VALIDATION MEASURE_PICTURES OUT.npz
"""

import argparse
import itertools
import multiprocessing
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
SCALES = (1.0, 4 / 3, 2.0, 0.8, 2 / 3, 4 / 7)
SCALE_RANGES = ((1.0, 1.0), (1.1, 1.6), (1.6, 2.0), (0.73, 0.95), (0.62, 0.73), (0.53, 0.62))
# Under 1 the photograph is enlarged, and the small picture is reduced from it by less than two: only photographs that
# are soft by nature, which lose nothing so. From them is learned what softness is the photographer's.
SOFT_SCALES = (3, 4, 5)
LEAST_SOFTNESS = 0.55  # Blur measured of the photograph as it is, pixels.
SCALE_OF_OWN_RESULT = 2  # Measured of photographs reduced by 2 and by 2 again: for enlarging once more.
CLEAN_DRAWS = 3  # Of each scale and photograph…
DAMAGED_DRAWS = 12  # …and as many that are damaged.
MOST_TILES = 8  # Measured together: a picture of about 360 x 360.


class Program:
    """`measure_pictures`, running."""

    def __init__(self, path: Path):
        self.process = subprocess.Popen([path], stdin=subprocess.PIPE, stdout=subprocess.PIPE)

    def measured(self, small: torch.Tensor) -> tuple[float, float, float]:
        """Noise (0..1), blur (pixels) and JPEG coding (factor on the example table) of small pictures, N x 3 x H x W, as one picture: one below the other. The
        engine looks at bands of 32 rows, so the seams are not seen where H is a multiple of 32."""
        n, _, height, width = small.shape
        samples = (small.permute(0, 2, 3, 1) * 255).round().byte().contiguous().numpy()
        self.process.stdin.write(f"{width} {n * height}\n".encode() + samples.tobytes())
        self.process.stdin.flush()
        noise, blur, coding = map(float, self.process.stdout.readline().split())
        return noise / 255, blur, coding


@dataclass(frozen=True)
class Draws:
    """One row a draw."""

    photograph: torch.Tensor
    scale: torch.Tensor  # Index into SCALES.
    damage: degrade.Damage
    noise: torch.Tensor  # Measured, 0..1.
    blur: torch.Tensor  # Measured, pixels.
    coding: torch.Tensor  # Measured.

    def __getitem__(self, some) -> "Draws":
        return Draws(self.photograph[some], self.scale[some], self.damage[some], self.noise[some], self.blur[some],
                     self.coding[some])

    def measures(self, as_jpeg: torch.Tensor) -> torch.Tensor:
        """What the network is told, N x 3; of a JPEG that comes as such a file, what that says of its coding."""
        coding = torch.where(as_jpeg, degrade.coding(self.damage.quality), self.coding)
        return torch.stack((self.noise, self.blur, coding), 1)


DAMAGE_FIELDS = tuple(field.name for field in fields(degrade.Damage))


def joined(parts: list[Draws]) -> Draws:
    damage = degrade.Damage(*(torch.cat([getattr(p.damage, name) for p in parts]) for name in DAMAGE_FIELDS))
    rest = ([getattr(p, name) for p in parts] for name in ("photograph", "scale", "noise", "blur", "coding"))
    photograph, scale, noise, blur, coding = map(torch.cat, rest)
    return Draws(photograph, scale, damage, noise, blur, coding)


def load(path: Path, device: torch.device) -> Draws:
    table = numpy.load(path)

    def column(name: str) -> torch.Tensor:
        return torch.from_numpy(table[name]).to(device)

    damage = degrade.Damage(*(column(name) for name in DAMAGE_FIELDS))
    return Draws(column("photograph"), column("scale"), damage,
                 *(column(f"measured_{name}") for name in ("noise", "blur", "coding")))


def softness(draws: Draws) -> torch.Tensor:
    """The blur that is measured of each photograph at each scale where nothing was done to it."""
    damage = draws.damage
    clean = (damage.blur == 0) & (damage.noise == 0) & (damage.quality == 100)
    place = draws.photograph * len(SCALES) + draws.scale
    sums = torch.zeros(2, (int(draws.photograph.max()) + 1) * len(SCALES), device=place.device)
    sums[0].scatter_add_(0, place[clean], draws.blur[clean])
    sums[1].scatter_add_(0, place[clean], torch.ones_like(draws.blur[clean]))
    return (sums[0] / sums[1]).view(-1, len(SCALES))


def of_validation(path: Path) -> measure.Told:
    table = numpy.load(path)
    columns = (table[name] for name in ("case", "picture", "case_noise", "case_blur", "case_coding"))
    return {(str(case), int(picture)): tuple(map(float, told)) for case, picture, *told in zip(*columns, strict=True)}


def small_of(tiles: torch.Tensor, scale: float) -> torch.Tensor:
    """Tiles reduced by twice the scale, 8-bit in, 0..1 out."""
    tiles = tiles.float() / 255
    side = round(photographs.TILE / scale)
    if scale < 1:
        return degrade.reduce(tiles, side // 2, side // 2)
    return degrade.halve(tiles if scale == 1 else degrade.reduce(tiles, side, side).clamp(0, 1))


def draws_of(photograph: int, tiles: torch.Tensor, program: Program) -> list[tuple]:
    is_soft = program.measured(tiles.float() / 255)[1] > LEAST_SOFTNESS
    rows = []
    for index, scale in enumerate(SCALES):
        if index in SOFT_SCALES and not is_soft:
            continue
        small = small_of(tiles, scale)
        damages = [degrade.no_damage(1)] * CLEAN_DRAWS + [degrade.random_damage(1) for _ in range(DAMAGED_DRAWS)]
        for draw, damage in enumerate(damages):
            # The first with all tiles, then any number of them: small pictures are told less surely.
            count = len(small) if draw == 0 else int(torch.randint(1, len(small) + 1, ()))
            some = small[torch.randperm(len(small))[:count]]
            every = degrade.Damage(*(getattr(damage, name).expand(count) for name in DAMAGE_FIELDS))
            measured = program.measured(degrade.damaged(some, every))
            rows.append((photograph, index, *(float(getattr(damage, name)) for name in DAMAGE_FIELDS), *measured))
    return rows


def cases_of(index: int, large: torch.Tensor, program: Program) -> list[tuple]:
    smalls = {case.name: measure.small_picture(large, case, seed=index) for case in (measure.CLEAN, *measure.DAMAGED)}
    smalls |= {f"{factor:g}x": measure.small_picture_at(large, factor) for factor in measure.OWN_SCALE}
    return [(name, index, *program.measured(small)) for name, small in smalls.items()]


_program: Program


def _begin(program: Path) -> None:
    global _program
    torch.set_num_threads(1)
    _program = Program(program)


def _cases(index: int, large: torch.Tensor) -> list[tuple]:
    return cases_of(index, large, _program)


def _draws(photograph: int, tiles: torch.Tensor, seed: int) -> list[tuple]:
    torch.manual_seed(1000 * seed + photograph)  # The same table whatever the number of processes.
    return draws_of(photograph, tiles[torch.randperm(len(tiles))[:MOST_TILES]], _program)


def make(options: argparse.Namespace) -> None:
    pictures = photographs.validation_pictures(options.validation)
    tiles = photographs.training_tiles(options.photographs)
    own = [(photograph, tiles.pixels[tiles.photograph == photograph], options.seed)
           for photograph in range(int(tiles.photograph.max()) + 1)]
    with multiprocessing.get_context("spawn").Pool(options.processes, _begin, (options.program,)) as pool:
        cases = list(itertools.chain(*pool.starmap(_cases, enumerate(pictures), chunksize=1)))
        rows = list(itertools.chain(*pool.starmap(_draws, own, chunksize=1)))

    columns = zip(("photograph", "scale", *DAMAGE_FIELDS, "measured_noise", "measured_blur", "measured_coding"),
                  zip(*rows), strict=True)
    table = {name: numpy.array(values, numpy.float32) for name, values in columns}
    table["photograph"] = table["photograph"].astype(numpy.int64)
    table["scale"] = table["scale"].astype(numpy.int64)
    case_columns = zip(("case", "picture", "case_noise", "case_blur", "case_coding"), zip(*cases), strict=True)
    numpy.savez_compressed(options.out, **table, **{name: numpy.array(values) for name, values in case_columns})
    print(f"{len(rows)} draws", flush=True)


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("photographs", type=Path)
    parser.add_argument("validation", type=Path)
    parser.add_argument("program", type=Path, help="measure_pictures, as built")
    parser.add_argument("out", type=Path)
    parser.add_argument("--processes", type=int, default=1)
    parser.add_argument("--seed", type=int, default=1)
    make(parser.parse_args())
