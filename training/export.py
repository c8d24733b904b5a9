# SPDX-License-Identifier: Apache-2.0
"""A checkpoint's network as the weights file that the engine reads (models/README.md has the format), and back."""

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


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("checkpoint", type=Path)
    parser.add_argument("out", type=Path, help="for example ../models/fine.weights")
    parser.add_argument("--about", default="", help="one line: how it was trained")
    options = parser.parse_args()
    kept = torch.load(options.checkpoint, map_location="cpu")
    network = Network(Shape(**kept["shape"]), kept["wide"])
    network.load_state_dict(kept["weights"])
    options.out.write_bytes(weights_file(network, options.out.stem, options.about))


if __name__ == "__main__":
    main()
