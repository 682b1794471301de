"""Photos: what is taken is upright, small and bare; what is not is refused in plain words."""

import io

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image, ImageFile

from workshop.bikes import photos
from workshop.bikes.photos import PhotoError, clean_photo

ORIENTATION, CAMERA, GPS = 0x0112, 0x0110, 0x8825


def upload(image, kind="JPEG", name="bike.jpg", **options):
    out = io.BytesIO()
    image.save(out, kind, **options)
    return SimpleUploadedFile(name, out.getvalue(), content_type="image/jpeg")


def opened(content):
    return Image.open(io.BytesIO(content.read()))


def test_a_large_photo_is_shrunk_to_1600_pixels_and_keeps_its_shape():
    with opened(clean_photo(upload(Image.new("RGB", (4000, 3000), "navy")))) as image:
        assert (image.format, image.size, image.mode) == ("JPEG", (1600, 1200), "RGB")


def test_a_small_photo_is_not_blown_up():
    with opened(clean_photo(upload(Image.new("RGB", (300, 200))))) as image:
        assert image.size == (300, 200)


def test_a_photo_is_turned_upright_and_loses_what_the_camera_wrote():
    exif = Image.Exif()
    exif[ORIENTATION] = 6  # to be turned by a quarter to the right
    exif[CAMERA] = "Some camera"
    exif.get_ifd(GPS)[1] = "N"
    sideways = Image.new("RGB", (400, 200), "white")
    sideways.paste("black", (0, 0, 20, 200))  # the left edge becomes the top
    with opened(clean_photo(upload(sideways, exif=exif))) as image:
        assert image.size == (200, 400)
        assert image.getpixel((100, 5)) < (60, 60, 60)
        assert image.getpixel((100, 390)) > (200, 200, 200)
        assert not image.getexif()


def test_what_is_transparent_becomes_white():
    clear = Image.new("RGBA", (50, 50), (0, 0, 0, 0))
    with opened(clean_photo(upload(clear, "PNG", "bike.png"))) as image:
        assert image.getpixel((25, 25)) > (250, 250, 250)


@pytest.mark.parametrize(
    ("mode", "kind"), [("L", "JPEG"), ("CMYK", "JPEG"), ("P", "PNG"), ("1", "PNG")]
)
def test_other_colour_spaces_are_taken(mode, kind):
    with opened(clean_photo(upload(Image.new(mode, (40, 30)), kind))) as image:
        assert image.mode == "RGB"


def test_webp_is_taken():
    with opened(clean_photo(upload(Image.new("RGB", (40, 30)), "WEBP", "bike.webp"))) as image:
        assert image.format == "JPEG"


def test_the_name_given_by_the_sender_is_not_kept():
    content = clean_photo(upload(Image.new("RGB", (40, 30)), name="../../etc/passwd.php"))
    assert content.name is not None
    assert content.name.endswith(".jpg")
    assert "passwd" not in content.name


def test_forty_megabytes_are_refused_without_being_decoded():
    heavy = SimpleUploadedFile("huge.jpg", b"\xff\xd8" + bytes(40 * 1024 * 1024))
    with pytest.raises(PhotoError, match=r"“huge.jpg” has 40 MB; a photo may have at most 20 MB"):
        clean_photo(heavy)


@pytest.mark.parametrize(
    "content", [b"not a picture", b"%PDF-1.7 ...", b"<svg/>", b"GIF89a" + bytes(40)]
)
def test_what_is_no_photo_is_refused(content):
    with pytest.raises(PhotoError, match="not a photo that can be read"):
        clean_photo(SimpleUploadedFile("bike.jpg", content))


def test_an_empty_file_is_refused():
    with pytest.raises(PhotoError, match="is empty"):
        clean_photo(SimpleUploadedFile("bike.jpg", b""))


@pytest.mark.parametrize("switched_on", [False, True])
def test_half_a_photo_is_refused_even_where_a_library_lets_it_pass(monkeypatch, switched_on):
    monkeypatch.setattr(ImageFile, "LOAD_TRUNCATED_IMAGES", switched_on)
    whole = upload(Image.effect_noise((800, 600), 80)).read()
    with pytest.raises(PhotoError, match="did not arrive whole"):
        clean_photo(SimpleUploadedFile("bike.jpg", whole[: len(whole) // 2]))


def test_a_small_file_that_would_fill_the_memory_is_refused(monkeypatch):
    monkeypatch.setattr(photos, "MOST_PIXELS", 1_000_000)
    with pytest.raises(PhotoError, match="more than 1 million pixels"):
        clean_photo(upload(Image.new("1", (1200, 1200)), "PNG"))


def test_what_the_library_itself_takes_for_a_bomb_is_refused(monkeypatch):
    monkeypatch.setattr(Image, "MAX_IMAGE_PIXELS", 100)
    with pytest.raises(PhotoError, match="million pixels"):
        clean_photo(upload(Image.new("1", (1200, 1200)), "PNG"))
