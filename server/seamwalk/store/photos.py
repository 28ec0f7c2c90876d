"""Photos: JPEG alone, made anew on the phone, so that they carry no place and no camera."""

import warnings
from io import BytesIO

from PIL import Image, UnidentifiedImageError

from seamwalk.errors import BookError

MAX_PIXELS = 40_000_000
_MAGIC = b"\xff\xd8\xff"
_REMEDY = "Take the photo in the app; it makes the picture anew."


def is_photo(data: bytes) -> bool:
    """Whether bytes claim to be a JPEG, by how they begin."""
    return data.startswith(_MAGIC)


def check_photo(data: bytes) -> None:
    """Check a photo whole; raise BookError when it can not be read, is too large or carries metadata."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            with Image.open(BytesIO(data), formats=["JPEG"]) as image:
                if image.width * image.height > MAX_PIXELS:
                    raise BookError(f"photo: {image.width} x {image.height} pixels are too many", _REMEDY)
                carried = bool(image.getexif()) or bool(set(image.info) & {"exif", "comment", "photoshop"})
                image.load()
    except (UnidentifiedImageError, OSError, ValueError, Warning, Image.DecompressionBombError) as error:
        raise BookError(f"photo: not a whole JPEG ({error})", _REMEDY) from error
    if carried:
        raise BookError("photo: it carries metadata, perhaps where it was taken", _REMEDY)
