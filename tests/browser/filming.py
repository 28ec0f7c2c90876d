"""What a camera sees of printed paper, as a film that Chromium plays (YUV4MPEG2, C420jpeg)."""

from pathlib import Path

import numpy as np
import pypdfium2
from PIL import Image

SIZE = (1280, 720)
FRAMES = 4
_DPI = 203


def paper(pdf: bytes, page: int = 0) -> Image.Image:
    """A page as a printer puts it on paper."""
    printed: Image.Image = pypdfium2.PdfDocument(pdf)[page].render(scale=_DPI / 72, grayscale=True).to_pil()
    return printed


def film(target: Path, *seen: Image.Image, light: float = 1.0, turn_deg: float = 0.0) -> None:
    """Lay pictures on a dark table before the camera, under so much light; the hand is not quite still."""
    frames = []
    for shake in range(FRAMES):
        table = Image.new("L", SIZE, 70)
        for number, picture in enumerate(seen):
            height = 240
            scaled = picture.resize((round(height * picture.width / picture.height), height))
            turned = scaled.rotate(turn_deg, expand=True, fillcolor=70)
            down = (SIZE[1] - turned.height) // 2 + (number - (len(seen) - 1) / 2) * 270
            table.paste(turned, ((SIZE[0] - turned.width) // 2 + shake, round(down) - shake))
        noise = np.random.default_rng(shake).normal(0, 4, SIZE[::-1])
        frames.append(np.clip(np.asarray(table) * light + noise, 0, 255).astype(np.uint8))
    grey = bytes([128]) * (SIZE[0] * SIZE[1] // 2)
    with target.open("wb") as file:
        file.write(b"YUV4MPEG2 W%d H%d F10:1 Ip A1:1 C420jpeg\n" % SIZE)
        for frame in frames:
            file.write(b"FRAME\n" + frame.tobytes() + grey)
