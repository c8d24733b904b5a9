# SPDX-License-Identifier: Apache-2.0
"""PSNR of a network on validation pictures, clean and damaged, beside bicubic and Lanczos."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy
import torch
from PIL import Image

import degrade
from network import Network



@dataclass(frozen=True)
class Case:
    """One way to make the small picture from the large one."""

    name: str
    blur: float = 0.0  # Pixels of the small picture.
    noise: float = 0.0  # Standard deviation, 0..1.
    quality: int = 100  # JPEG quality; 100: not coded.

    def measures(self) -> torch.Tensor:
        return degrade.measures(*(torch.tensor([float(v)]) for v in (self.noise, self.blur, self.quality)))


Enlarge = Callable[[torch.Tensor, Case], torch.Tensor]  # To twice the size.


CLEAN = Case("clean")
DAMAGED = tuple(
    Case(f"blur {blur} noise {noise * 100:g} % JPEG {quality if quality < 100 else 'none'}", blur, noise, quality)
    for blur, noise, quality in (
        (0.5, 0.0, 100),
        (0.8, 0.0, 100),
        (1.2, 0.0, 100),
        (0.0, 0.01, 100),
        (0.0, 0.02, 100),
        (0.0, 0.03, 100),
        (0.0, 0.0, 75),
        (0.0, 0.0, 85),
        (0.0, 0.0, 95),
        (0.5, 0.01, 95),
        (0.8, 0.02, 85),
        (1.2, 0.03, 75),
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


def by_network(network: Network) -> Enlarge:
    return lambda small, case: network(small, case.measures().to(small.device))


def by_filter(kernel: Image.Resampling) -> Enlarge:
    def enlarge(small: torch.Tensor, case: Case) -> torch.Tensor:
        del case
        channels = []
        for channel in small[0].cpu().numpy():
            image = Image.fromarray(channel.astype(numpy.float32))
            channels.append(numpy.asarray(image.resize((2 * image.width, 2 * image.height), kernel)))
        return torch.from_numpy(numpy.stack(channels)).unsqueeze(0).to(small.device)

    return enlarge


@torch.no_grad()
def psnr_of_all(enlarge: Enlarge, pictures: list[torch.Tensor], case: Case) -> list[float]:
    values = []
    for index, large in enumerate(pictures):
        small = small_picture(large, case, seed=index)
        values.append(psnr(enlarge(small, case), large))
    return values
