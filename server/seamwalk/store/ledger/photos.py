"""Photos: JPEG alone, redrawn on the phone, so that they carry no place and no camera."""

from io import BytesIO

from PIL import Image

from seamwalk.errors import BookError

MAX_PIXELS = 40_000_000
# each scan of a progressive JPEG goes over the whole picture; programs write about ten
MAX_SCANS = 64
_SCAN = b"\xff\xda"
_MAGIC = b"\xff\xd8\xff"
_METADATA = frozenset({"exif", "xmp", "comment", "photoshop"})
_REMEDY = "Take the photo in the app; it redraws the picture."


def is_photo(data: bytes) -> bool:
    """Whether bytes claim to be a JPEG, by how they begin."""
    return data.startswith(_MAGIC)


def check_photo(data: bytes) -> None:
    """Check a photo whole; raise BookError when it cannot be read, is too large or carries metadata."""
    if data.count(_SCAN) > MAX_SCANS:
        raise BookError(f"photo: its picture is drawn more than {MAX_SCANS} times over", _REMEDY)
    try:
        with Image.open(BytesIO(data), formats=["JPEG"]) as image:
            if image.width * image.height > MAX_PIXELS:
                raise BookError(f"photo: {image.width} x {image.height} pixels are too many", _REMEDY)
            if _METADATA & set(image.info):
                raise BookError("photo: it carries metadata, perhaps where it was taken", _REMEDY)
            image.load()
    except BookError:
        raise
    except Exception as error:  # what is no whole JPEG fails in many ways below
        raise BookError(f"photo: not a whole JPEG ({error})", _REMEDY) from error
