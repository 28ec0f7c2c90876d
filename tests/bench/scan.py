"""Scanning on the phone, in Node: see scan.ts. The picture is a printed label on a dark table."""

import subprocess
import tempfile
from pathlib import Path

import numpy as np
from sim_replica import NODE, bundle

from browser.filming import film, paper
from seamwalk.domain.stock.codes import Code
from seamwalk.printing.label_grid import LabelGrid
from seamwalk.printing.labels import Label, label_wording, stream_labels

WASM = Path(__file__).parents[2] / "static/node_modules/zxing-wasm/dist/reader/zxing_reader.wasm"
SIDE = 720


def main(*, tiny: bool = False) -> None:
    """Run and print."""
    pdf = b"".join(
        stream_labels([Label(Code("HQ", "T", 42))], LabelGrid(60, 35), label_wording(""), "https://x.test")
    )
    with tempfile.TemporaryDirectory() as folder:
        played, picture = Path(folder) / "film.y4m", Path(folder) / "frame.grey"
        film(played, paper(pdf), turn_deg=8)
        header, frame = played.read_bytes().split(b"FRAME\n", 2)[:2]
        assert header.startswith(b"YUV4MPEG2 W1280 H720")
        whole = np.frombuffer(frame[: 1280 * SIDE], np.uint8).reshape(SIDE, 1280)
        picture.write_bytes(whole[:, 280 : 280 + SIDE].tobytes())
        script = bundle(Path(folder), Path(__file__).with_name("scan.ts"))
        size = ["--tiny"] if tiny else []
        subprocess.run([str(NODE), str(script), str(WASM), str(picture), *size], check=True)
