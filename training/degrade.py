# SPDX-License-Identifier: Apache-2.0
"""From a photograph to the smaller, worse picture that the network gets. All tensors: float 0..1, N x 3 x H x W."""

import functools
import math
from dataclasses import dataclass, fields

import torch
import torch.nn.functional as F

# ITU-T T.81, tables K.1 and K.2.
_LUMA = (
    (16, 11, 10, 16, 24, 40, 51, 61),
    (12, 12, 14, 19, 26, 58, 60, 55),
    (14, 13, 16, 24, 40, 57, 69, 56),
    (14, 17, 22, 29, 51, 87, 80, 62),
    (18, 22, 37, 56, 68, 109, 103, 77),
    (24, 35, 55, 64, 81, 104, 113, 92),
    (49, 64, 78, 87, 103, 121, 120, 101),
    (72, 92, 95, 98, 112, 100, 103, 99),
)
_CHROMA = (
    (17, 18, 24, 47, 99, 99, 99, 99),
    (18, 21, 26, 66, 99, 99, 99, 99),
    (24, 26, 56, 99, 99, 99, 99, 99),
    (47, 66, 99, 99, 99, 99, 99, 99),
    *((99,) * 8,) * 4,
)


def _table(example: tuple, quality: torch.Tensor) -> torch.Tensor:
    """Quantisation steps as libjpeg scales an example table for each quality, N x 8 x 8."""
    scale = torch.where(quality < 50, 5000 / quality, 200 - 2 * quality).view(-1, 1, 1)
    return ((quality.new_tensor(example) * scale + 50) / 100).floor().clamp(1, 255)


def coding(quality: torch.Tensor) -> torch.Tensor:
    """The factor on the table of luma of ITU-T T.81 that the engine reads from a file (quality 75: 0.48, 90: 0.18); 0
    where the picture never was a JPEG, which is what `quality` 100 stands for."""
    steps = _table(_LUMA, quality)
    return (steps - 1).sum((1, 2)) / quality.new_tensor(_LUMA).sum()


def _as_matrix(positions: torch.Tensor, weights: torch.Tensor, length: int) -> torch.Tensor:
    """Filters as matrices: `weights` at `positions` of a line that is mirrored at both ends; ... x rows x length."""
    positions = positions.expand(weights.shape).clone()
    positions = torch.where(positions < 0, -1 - positions, positions)
    positions = torch.where(positions >= length, 2 * length - 1 - positions, positions)
    return weights.new_zeros(*weights.shape[:-1], length).scatter_add_(-1, positions, weights)


def _keys(t: torch.Tensor) -> torch.Tensor:
    """Keys' cubic, a = -1/2 (Keys 1981, IEEE Trans. ASSP 29:1153)."""
    t = t.abs()
    inner = (1.5 * t - 2.5) * t * t + 1
    outer = ((-0.5 * t + 2.5) * t - 4) * t + 2
    return torch.where(t < 1, inner, torch.where(t < 2, outer, torch.zeros_like(t)))


@functools.lru_cache(maxsize=512)
def _reduction(from_length: int, to_length: int, device: torch.device) -> torch.Tensor:
    """The cubic widened to the coarser grid, to_length x from_length."""
    step = from_length / to_length
    centres = (torch.arange(to_length, device=device) + 0.5) * step - 0.5
    reach = math.ceil(2 * step)
    positions = centres.floor().long()[:, None] + torch.arange(-reach, reach + 2, device=device)
    weights = _keys((positions - centres[:, None]) / step)
    return _as_matrix(positions, weights / weights.sum(1, keepdim=True), from_length)


def reduce(x: torch.Tensor, height: int, width: int) -> torch.Tensor:
    """To a smaller size by the antialiased cubic."""
    rows = _reduction(x.shape[2], height, x.device)
    columns = _reduction(x.shape[3], width, x.device)
    return rows @ x @ columns.T


@functools.lru_cache(maxsize=512)
def _enlargement(from_length: int, to_length: int, device: torch.device) -> torch.Tensor:
    """Lanczos' kernel of six lobes, to_length x from_length."""
    centres = (torch.arange(to_length, device=device) + 0.5) * from_length / to_length - 0.5
    positions = centres.floor().long()[:, None] + torch.arange(-5, 7, device=device)
    t = positions - centres[:, None]
    weights = torch.sinc(t) * torch.sinc(t / 6)
    return _as_matrix(positions, weights / weights.sum(1, keepdim=True), from_length)


def enlarge(x: torch.Tensor, height: int, width: int) -> torch.Tensor:
    """To a larger size, losing as little as can be."""
    rows = _enlargement(x.shape[2], height, x.device)
    columns = _enlargement(x.shape[3], width, x.device)
    return rows @ x @ columns.T


def halve(x: torch.Tensor) -> torch.Tensor:
    return reduce(x, x.shape[2] // 2, x.shape[3] // 2)


def blur(x: torch.Tensor, sigma: torch.Tensor) -> torch.Tensor:
    """Gaussian of `sigma` pixels, N long; 0 leaves a picture as it is. Reaches 5 pixels: enough up to 1.5."""
    at = torch.arange(-5, 6, device=x.device)
    taps = torch.exp(-0.5 * (at / sigma.clamp(min=1e-3).view(-1, 1)) ** 2)
    taps = (taps / taps.sum(1, keepdim=True))[:, None, None, :]

    def matrix(length: int) -> torch.Tensor:
        positions = torch.arange(length, device=x.device)[:, None] + at
        return _as_matrix(positions, taps.expand(-1, 1, length, -1).contiguous(), length)

    return matrix(x.shape[2]) @ x @ matrix(x.shape[3]).transpose(2, 3)


def to_8_bit(x: torch.Tensor) -> torch.Tensor:
    return (x.clamp(0, 1) * 255).round() / 255


def _cosines(device: torch.device) -> torch.Tensor:
    k = torch.arange(8, device=device, dtype=torch.float32)
    rows = torch.cos(math.pi * (2 * k[None, :] + 1) * k[:, None] / 16) / 2
    rows[0] /= math.sqrt(2)
    return rows


def _quantise(plane: torch.Tensor, table: torch.Tensor) -> torch.Tensor:
    """One plane, N x H x W of 0..255, through blocks of 8 x 8 cosines; `table` is N x 8 x 8."""
    n, h, w = plane.shape
    cosines = _cosines(plane.device)
    blocks = (plane - 128).view(n, h // 8, 8, w // 8, 8)
    step = table.view(n, 1, 8, 1, 8)
    coded = torch.einsum("ky,naybx,lx->nakbl", cosines, blocks, cosines)
    coded = (coded / step).round() * step
    blocks = torch.einsum("ky,nakbl,lx->naybx", cosines, coded, cosines)
    return (blocks.reshape(n, h, w) + 128).round().clamp(0, 255)


def jpeg(x: torch.Tensor, quality: torch.Tensor, halved_colour: bool) -> torch.Tensor:
    """What JPEG coding leaves (ITU-T T.81 and JFIF; tables scaled as libjpeg's quality does). `quality` is N long,
    1..100. Sides must be multiples of 16."""
    tables = [_table(example, quality) for example in (_LUMA, _CHROMA)]
    r, g, b = (x * 255).unbind(1)
    y = 0.299 * r + 0.587 * g + 0.114 * b
    colour = torch.stack((0.564334 * (b - y), 0.713267 * (r - y)), 1) + 128
    size = colour.shape[2:]
    if halved_colour:
        colour = F.avg_pool2d(colour, 2)
    y = _quantise(y.round(), tables[0])
    colour = torch.stack([_quantise(plane.round(), tables[1]) for plane in colour.unbind(1)], 1)
    if halved_colour:
        colour = F.interpolate(colour, size=size, mode="bilinear", align_corners=False)
    cb, cr = (colour - 128).unbind(1)
    rgb = torch.stack((y + 1.402 * cr, y - 0.344136 * cb - 0.714136 * cr, y + 1.772 * cb), 1)
    return rgb.round().clamp(0, 255) / 255


@dataclass(frozen=True)
class Damage:
    """What is done to each of a batch of small pictures, in this order. Tensors, N long."""

    blur: torch.Tensor  # A Gaussian's sd, pixels of the small picture; 0: none.
    noise: torch.Tensor  # Its standard deviation, 0..1.
    softness: torch.Tensor  # The sd of the Gaussian that softens the noise, as demosaicing does, pixels.
    grey: torch.Tensor  # 1: the noise is alike in the three channels.
    quality: torch.Tensor  # Of JPEG; 100: not coded.
    halved: torch.Tensor  # 1: JPEG keeps colour at half the size.

    def __getitem__(self, some) -> "Damage":
        return Damage(*(getattr(self, field.name)[some] for field in fields(self)))


def no_damage(count: int) -> Damage:
    zeros = torch.zeros(count)
    return Damage(zeros, zeros, zeros, zeros, torch.full((count,), 100.0), zeros)


def random_damage(count: int) -> Damage:
    """Blur in six pictures of ten, noise and JPEG in five of ten each: so that all mixtures come, and single ones."""

    def chosen(share: float) -> torch.Tensor:
        return (torch.rand(count) < share).float()

    coded = chosen(0.5)
    return Damage(
        blur=chosen(0.6) * (0.3 + torch.rand(count)),
        noise=chosen(0.5) * torch.rand(count) ** 1.5 * 0.036,  # Small noise is more common than strong.
        softness=chosen(0.5) * torch.rand(count) * 0.8,
        grey=chosen(0.3),
        quality=torch.where(coded > 0, 70 + 28 * torch.rand(count), torch.tensor(100.0)),
        halved=coded * chosen(0.5),
    )


def _noise_like(x: torch.Tensor, damage: Damage) -> torch.Tensor:
    def each(values: torch.Tensor) -> torch.Tensor:
        return values.to(x.dtype).view(-1, 1, 1, 1)

    noise = blur(torch.randn_like(x), damage.softness)
    noise = noise * (1 - each(damage.grey)) + noise[:, :1] * each(damage.grey)
    return noise / noise.std((1, 2, 3), keepdim=True).clamp(min=1e-6) * each(damage.noise)


def damaged(small: torch.Tensor, damage: Damage) -> torch.Tensor:
    """Small pictures as they come from a camera that blurs, adds noise and codes, rounded to 8 bits. The 8 x 8 grid of
    JPEG begins anywhere, alike in a batch, so that nothing is learned from where a picture begins."""
    small = blur(small, damage.blur)
    small = small + _noise_like(small, damage)
    dy, dx = torch.randint(0, 16, (2,)).tolist()
    for halved in (False, True):
        some = ((damage.quality < 100) & (damage.halved.bool() == halved)).nonzero().flatten()
        if len(some):
            moved = small[some].clamp(0, 1).roll((dy, dx), (2, 3))
            small[some] = jpeg(moved, damage.quality[some], halved).roll((-dy, -dx), (2, 3))
    return to_8_bit(small)
