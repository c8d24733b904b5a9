# SPDX-License-Identifier: Apache-2.0
"""PSNR of a network on validation pictures, clean and damaged, beside bicubic and Lanczos."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy
import torch
from PIL import Image

import degrade
from network import OWN_RESULT, Network

@dataclass(frozen=True)
class Case:
    """One way to make the small picture from the large one."""

    name: str
    blur: float = 0.0  # Pixels of the small picture.
    noise: float = 0.0  # Standard deviation, 0..1.
    quality: int = 100  # JPEG quality; 100: not coded.
    as_jpeg: bool = True  # The file; else another kind, in which only the samples tell of the coding.

    def measures(self, noise: float, blur: float, coding: float) -> torch.Tensor:
        """What the network is told, 1 x 3: as measured, but of a JPEG what its file says."""
        if self.as_jpeg:
            coding = float(degrade.coding(torch.tensor([float(self.quality)])))
        return torch.tensor([[noise, blur, coding]])


def _case(blur: float, noise: float, quality: int, as_jpeg: bool) -> Case:
    coded = f" JPEG {quality}" if quality < 100 else ""
    name = f"blur {blur:g} noise {100 * noise:g} %{coded}{'' if as_jpeg else ' as PNG'}"
    return Case(name, blur, noise, quality, as_jpeg)


OWN_SCALE = (1.1, 1.3, 1.5)  # Factors by which clean pictures are enlarged to their own size.

Enlarge = Callable[[torch.Tensor, torch.Tensor], torch.Tensor]  # A picture, and its measures; to twice the size.
Told = dict[tuple[str, int], tuple[float, float, float]]  # By case and picture: noise, blur, coding as measured.


CLEAN = Case("clean")
DAMAGED = tuple(
    _case(*values)
    for values in (
        (0.5, 0.0, 100, True),
        (0.8, 0.0, 100, True),
        (1.2, 0.0, 100, True),
        (0.0, 0.01, 100, True),
        (0.0, 0.02, 100, True),
        (0.0, 0.03, 100, True),
        (0.0, 0.0, 75, True),
        (0.0, 0.0, 85, True),
        (0.0, 0.0, 95, True),
        (0.5, 0.01, 95, True),
        (0.8, 0.02, 85, True),
        (1.2, 0.03, 75, True),
        (0.0, 0.0, 75, False),
        (0.8, 0.02, 85, False),
    )
)


def luma(x: torch.Tensor) -> torch.Tensor:
    """Y of ITU-R BT.601, 16..235, of R, G, B in 0..1."""
    r, g, b = x.unbind(1)
    return 16 + 65.481 * r + 128.553 * g + 24.966 * b


def psnr(result: torch.Tensor, truth: torch.Tensor, border: int = 2) -> float:
    """dB on Y of the result as an 8-bit picture, `border` pixels left out (the protocol of the published tables)."""
    inside = (slice(None), slice(border, -border), slice(border, -border))
    error = luma(degrade.to_8_bit(result))[inside] - luma(truth)[inside]
    return float(10 * torch.log10(255**2 / (error**2).mean()))


def small_picture(large: torch.Tensor, case: Case, seed: int) -> torch.Tensor:
    small = degrade.halve(large)
    height, width = (side // 16 * 16 for side in small.shape[2:])
    if case.blur:
        small = degrade.blur(small, small.new_tensor([case.blur]))
    if case.noise:
        generator = torch.Generator().manual_seed(seed)
        small = small + (torch.randn(small.shape, generator=generator) * case.noise).to(small.device)
    small = degrade.to_8_bit(small)
    if case.quality < 100:
        coded = degrade.jpeg(small[..., :height, :width], small.new_tensor([float(case.quality)]), halved_colour=True)
        small[..., :height, :width] = coded
    return small


def small_picture_at(large: torch.Tensor, factor: float) -> torch.Tensor:
    height, width = (round(side / factor) for side in large.shape[2:])
    return degrade.to_8_bit(degrade.reduce(large, height, width))


def by_network(network: Network) -> Enlarge:
    return lambda small, measures: network(small, measures.to(small.device))


def by_filter(kernel: Image.Resampling) -> Enlarge:
    """Bicubic or Lanczos in floats, as Pillow has them."""

    def enlarge(small: torch.Tensor, _: torch.Tensor) -> torch.Tensor:
        channels = []
        for plane in small[0].cpu().numpy():
            image = Image.fromarray(plane.astype(numpy.float32))
            channels.append(numpy.asarray(image.resize((2 * image.width, 2 * image.height), kernel)))
        return torch.from_numpy(numpy.stack(channels)).unsqueeze(0).to(small.device)

    return enlarge


@torch.no_grad()
def psnr_of_all(enlarge: Enlarge, pictures: list[torch.Tensor], case: Case, told: Told) -> list[float]:
    values = []
    for index, large in enumerate(pictures):
        measures = case.measures(*told[case.name, index])
        values.append(psnr(enlarge(small_picture(large, case, seed=index), measures), large))
    return values


@torch.no_grad()
def psnr_of_own_scale(enlarge: Enlarge, pictures: list[torch.Tensor], factor: float, told: Told) -> list[float]:
    """Pictures reduced by less than two and doubled, then reduced to their size by the cubic."""
    values = []
    for index, large in enumerate(pictures):
        doubled = enlarge(small_picture_at(large, factor), Case("", as_jpeg=False).measures(*told[f"{factor:g}x", index]))
        values.append(psnr(degrade.reduce(doubled, *large.shape[2:]), large))
    return values


@torch.no_grad()
def psnr_of_four_times(network: Network, pictures: list[torch.Tensor]) -> dict[str, float]:
    """Clean pictures to 4x: the network twice, or once and then the cubic. Told that they are crisp."""
    twice, once = [], []
    for large in pictures:
        small = degrade.to_8_bit(degrade.reduce(large, large.shape[2] // 4, large.shape[3] // 4))
        doubled = network(small, small.new_zeros(1, 3))
        twice.append(psnr(network(doubled, small.new_tensor([OWN_RESULT])), large, border=4))
        once.append(psnr(by_filter(Image.Resampling.BICUBIC)(doubled, None), large, border=4))
    return {"twice": sum(twice) / len(twice), "once": sum(once) / len(once)}
