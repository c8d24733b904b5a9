# SPDX-License-Identifier: Apache-2.0
"""The enlarging network: plain 3 x 3 convolutions on the picture's own grid, a 2 x 2 shuffle at the end.

Each convolution is trained in a wider form (two more ways in parallel) that is merged into one 3 x 3 kernel before it
is applied: the weights alone pay for it, not the pixels.
"""

from dataclasses import asdict, dataclass

import torch
import torch.nn.functional as F
from torch import nn

INPUTS = 6  # R, G, B less 1/2; noise, blur, coding.
NOISE_UNIT = 16 / 255  # The noise plane is the sd in this unit; the blur plane is in pixels.
OWN_RESULT = (0.0, -1.0, 0.0)  # The measures that the network is told of its own result, which it enlarges once more.


@dataclass(frozen=True)
class Shape:
    channels: int
    blocks: int

    def as_dict(self) -> dict:
        return asdict(self)


class WideConvolution(nn.Module):
    """A 3 x 3 convolution whose kernel is a sum: a 3 x 3, a 1 x 1, and a 3 x 3 to `wide` times the channels followed
    by a 1 x 1."""

    def __init__(self, inputs: int, outputs: int, wide: int, gain: float = 1.0):
        super().__init__()
        self.plain = nn.Conv2d(inputs, outputs, 3, padding=1)
        nn.init.kaiming_normal_(self.plain.weight, nonlinearity="relu")
        nn.init.zeros_(self.plain.bias)
        self.plain.weight.data *= gain
        self.wide = wide
        if wide:
            between = wide * outputs
            self.centre = nn.Parameter(torch.zeros(outputs, inputs))
            self.spread = nn.Parameter(torch.randn(between, inputs, 3, 3) * (2 / (9 * inputs)) ** 0.5)
            self.gather = nn.Parameter(torch.randn(outputs, between) * 0.1 * gain / between**0.5)

    def kernel(self) -> torch.Tensor:
        kernel = self.plain.weight
        if self.wide:
            kernel = kernel + torch.einsum("om,mihw->oihw", self.gather, self.spread)
            kernel = kernel + F.pad(self.centre[:, :, None, None], (1, 1, 1, 1))
        return kernel

    def forward(self, x: torch.Tensor) -> torch.Tensor:
        return F.conv2d(x, self.kernel(), self.plain.bias, padding=1)


class Residual(nn.Module):
    def __init__(self, channels: int, wide: int):
        super().__init__()
        self.first = WideConvolution(channels, channels, wide)
        self.second = WideConvolution(channels, channels, wide, gain=0.1)

    def forward(self, x: torch.Tensor) -> torch.Tensor:
        return x + self.second(F.relu(self.first(x)))


class Network(nn.Module):
    def __init__(self, shape: Shape, wide: int = 0):
        super().__init__()
        self.shape = shape
        c = shape.channels
        self.head = WideConvolution(INPUTS, c, wide)
        self.body = nn.ModuleList(Residual(c, wide) for _ in range(shape.blocks))
        self.after = WideConvolution(c, c, wide)
        self.tail = WideConvolution(c, 12, wide, gain=0.1)

    def forward(self, picture: torch.Tensor, measures: torch.Tensor) -> torch.Tensor:
        """`picture`: 0..1, N x 3 x H x W; `measures`: N x 3, see degrade.Damage. Out: N x 3 x 2H x 2W."""
        n, _, h, w = picture.shape
        unit = measures.new_tensor((NOISE_UNIT, 1, 1))
        planes = (measures / unit).to(picture.dtype).view(n, 3, 1, 1).expand(n, 3, h, w)
        head = self.head(torch.cat((picture - 0.5, planes), 1))
        y = head
        for block in self.body:
            y = block(y)
        detail = self.tail(head + self.after(y))
        return F.pixel_shuffle(detail, 2).float() + doubled(picture)

    def macs_per_pixel(self) -> int:
        """Multiply-adds for each pixel of the small picture."""
        return sum(m.weight.numel() for m in self.modules() if isinstance(m, nn.Conv2d))


def doubled(x: torch.Tensor) -> torch.Tensor:
    """Twice the size with Keys' cubic (a = -1/2); borders repeated."""
    return F.interpolate(x, scale_factor=2, mode="bicubic", align_corners=False, antialias=True)


def merged(network: Network) -> Network:
    """The same network with each convolution as one 3 x 3 kernel."""
    plain = Network(network.shape, wide=0)
    sources = [m for m in network.modules() if isinstance(m, WideConvolution)]
    targets = [m for m in plain.modules() if isinstance(m, WideConvolution)]
    with torch.no_grad():
        for source, target in zip(sources, targets, strict=True):
            target.plain.weight.copy_(source.kernel())
            target.plain.bias.copy_(source.plain.bias)
    return plain
