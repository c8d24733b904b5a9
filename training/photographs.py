# SPDX-License-Identifier: Apache-2.0
"""Photographs as tensors: training tiles and validation pictures, 8-bit sRGB."""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

import numpy
import torch
from PIL import Image

TILE = 256  # A training photograph is a column of square tiles of this many pixels.


def _decode(path: Path) -> numpy.ndarray:
    with Image.open(path) as image:
        return numpy.asarray(image.convert("RGB"))


def _decode_all(folder: Path) -> list[numpy.ndarray]:
    paths = sorted(p for p in folder.iterdir() if p.suffix in {".avif", ".webp", ".png"})
    if not paths:
        raise SystemExit(f"{folder} holds no photograph (.avif, .webp or .png)")
    with ThreadPoolExecutor() as pool:
        return list(pool.map(_decode, paths))


@dataclass(frozen=True)
class Tiles:
    pixels: torch.Tensor  # uint8, tiles x 3 x 256 x 256.
    photograph: torch.Tensor  # Of which photograph each is; ascending from 0.


def training_tiles(folder: Path) -> Tiles:
    columns = []
    for pixels in _decode_all(folder):
        count = pixels.shape[0] // TILE
        columns.append(pixels[: count * TILE, :TILE].reshape(count, TILE, TILE, 3))
    counts = torch.tensor([len(column) for column in columns])
    pixels = torch.from_numpy(numpy.concatenate(columns)).permute(0, 3, 1, 2).contiguous()
    return Tiles(pixels, torch.repeat_interleave(torch.arange(len(columns)), counts))


def validation_pictures(folder: Path) -> list[torch.Tensor]:
    """Each picture: float 0..1, 1 x 3 x height x width, sides cut to multiples of 12 (so that 2, 3 and 4 divide)."""
    pictures = []
    for pixels in _decode_all(folder):
        height, width = (side // 12 * 12 for side in pixels.shape[:2])
        tensor = torch.from_numpy(pixels[:height, :width].copy()).permute(2, 0, 1)
        pictures.append(tensor.float().div(255).unsqueeze(0))
    return pictures
