# SPDX-License-Identifier: Apache-2.0
"""A network as the weights file that the engine reads (models/README.md has the format), and back."""

import argparse
import hashlib
from pathlib import Path

import numpy
import torch

from network import INPUTS, Network, Shape, WideConvolution, merged


def weights_file(network: Network, name: str, about: str) -> bytes:
    plain = merged(network)
    parts = []
    for module in plain.modules():
        if isinstance(module, WideConvolution):
            parts += [module.plain.weight, module.plain.bias]
    data = b"".join(p.detach().numpy().astype("<f4").tobytes() for p in parts)
    header = (
        f"hangtrue-weights 1\nname {name}\nabout {about}\ninputs {INPUTS}\nchannels {plain.shape.channels}\n"
        f"blocks {plain.shape.blocks}\nfloats {len(data) // 4}\nsha256 {hashlib.sha256(data).hexdigest()}\n\n"
    )
    return header.encode() + data


def weights_of(path: Path) -> dict[str, torch.Tensor]:
    """The weights in a file of the engine's, named as in a network that is not trained wide."""
    header, _, data = path.read_bytes().partition(b"\n\n")
    words = dict(line.split(" ", 1) for line in header.decode().splitlines())
    network = Network(Shape(int(words["channels"]), int(words["blocks"])), wide=0)
    left = torch.from_numpy(numpy.frombuffer(data, "<f4").copy())
    with torch.no_grad():
        for module in network.modules():
            if isinstance(module, WideConvolution):
                for parameter in (module.plain.weight, module.plain.bias):
                    parameter.copy_(left[: parameter.numel()].view_as(parameter))
                    left = left[parameter.numel() :]
    return network.state_dict()


def network_of(path: Path) -> Network:
    """Of a checkpoint or of a weights file."""
    if path.suffix == ".weights":
        weights = weights_of(path)
        blocks = sum(name.endswith("first.plain.bias") for name in weights)
        network = Network(Shape(len(weights["head.plain.bias"]), blocks), wide=0)
        network.load_state_dict(weights)
        return network
    kept = torch.load(path, map_location="cpu")
    network = Network(Shape(**kept["shape"]), kept["wide"])
    network.load_state_dict(kept["weights"])
    return merged(network)


def mean_of(networks: list[Network]) -> Network:
    """Of networks that began with the same weights: what they learned since adds up, what is chance goes out."""
    mean = networks[0]
    with torch.no_grad():
        for parameters in zip(mean.parameters(), *(other.parameters() for other in networks[1:]), strict=True):
            parameters[0].copy_(sum(parameters) / len(parameters))
    return mean


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("out", type=Path, help="for example ../models/fine.weights")
    parser.add_argument("networks", type=Path, nargs="+", help="checkpoint, or weights file; the mean of several")
    parser.add_argument("--about", default="", help="one line: how it was trained")
    options = parser.parse_args()
    network = mean_of([network_of(path) for path in options.networks])
    options.out.write_bytes(weights_file(network, options.out.stem, options.about))


if __name__ == "__main__":
    main()
