// Reading and cleaning pictures: pixels come back, what a camera wrote about itself does not, damage is said.
#include <array>
#include <cstdlib>
#include <random>

#include <doctest/doctest.h>

#include "netdb/photo/picture.hpp"

using namespace landfall;
using namespace landfall::photo;

namespace {

Picture made(int width, int height) {
  Picture picture;
  picture.width = width;
  picture.height = height;
  for (int y = 0; y < height; ++y) {
    for (int x = 0; x < width; ++x) {
      picture.rgb.push_back(static_cast<std::uint8_t>(x * 255 / width));
      picture.rgb.push_back(static_cast<std::uint8_t>(y * 255 / height));
      picture.rgb.push_back(static_cast<std::uint8_t>((x / 8 + y / 8) % 2 * 90));
    }
  }
  return picture;
}

// Exif with an orientation and a maker's words, as a JPEG segment's content.
std::string exif(int orientation, bool big) {
  const auto number = [&](unsigned value, int size) {
    std::string bytes;
    for (int i = 0; i < size; ++i)
      bytes.push_back(static_cast<char>(value >> (big ? (size - 1 - i) * 8 : i * 8) & 0xFFU));
    return bytes;
  };
  std::string tiff = big ? "MM" : "II";
  tiff += number(42, 2) + number(8, 4) + number(2, 2);
  tiff += number(0x010F, 2) + number(2, 2) + number(4, 4) + "ABCD";
  tiff += number(0x0112, 2) + number(3, 2) + number(1, 4) + number(static_cast<unsigned>(orientation), 2) +
          number(0, 2) + number(0, 4);
  return tiff + "54.3210N 10.1234E C:/Users/somebody/secret.jpg";
}

std::string with_exif(std::string jpeg, const std::string& tiff) {
  const std::string content = std::string("Exif\0\0", 6) + tiff;
  const std::size_t size = content.size() + 2;
  std::string segment = "\xFF\xE1";
  segment.push_back(static_cast<char>(size >> 8U));
  segment.push_back(static_cast<char>(size & 0xFFU));
  return jpeg.insert(2, segment + content);
}

// A chunk with its check sum, bit by bit (PNG specification, annex D).
std::string with_chunk(std::string png, const std::string& type, const std::string& data) {
  const auto number = [](std::uint32_t value) {
    std::string bytes;
    for (const unsigned shift : {24U, 16U, 8U, 0U})
      bytes.push_back(static_cast<char>(value >> shift & 0xFFU));
    return bytes;
  };
  std::uint32_t sum = 0xFFFFFFFFU;
  for (const char c : type + data) {
    sum ^= static_cast<unsigned char>(c);
    for (int i = 0; i < 8; ++i) sum = (sum & 1U) != 0 ? 0xEDB88320U ^ sum >> 1U : sum >> 1U;
  }
  constexpr std::size_t kAfterHeader = 33;
  return png.insert(kAfterHeader,
                    number(static_cast<std::uint32_t>(data.size())) + type + data + number(~sum));
}

int furthest(const Picture& a, const Picture& b) {
  REQUIRE(a.rgb.size() == b.rgb.size());
  int most = 0;
  for (std::size_t i = 0; i < a.rgb.size(); ++i) most = std::max(most, std::abs(a.rgb[i] - b.rgb[i]));
  return most;
}

}  // namespace

TEST_CASE("a PNG comes back to the byte, a JPEG nearly") {
  const Picture picture = made(61, 40);
  const auto png = write_png(picture);
  REQUIRE(png.ok());
  const auto from_png = read_picture(*png);
  REQUIRE(from_png.ok());
  CHECK(*from_png == picture);
  const auto jpeg = write_jpeg(picture, 95);
  REQUIRE(jpeg.ok());
  const auto from_jpeg = read_picture(*jpeg);
  REQUIRE(from_jpeg.ok());
  CHECK(from_jpeg->width == 61);
  CHECK(furthest(*from_jpeg, picture) < 24);
}

TEST_CASE("the Exif orientation of either byte order is obeyed, in JPEG and PNG") {
  // A dark corner at the stored picture's top left; where Exif says that row 0 and column 0 are.
  Picture picture;
  picture.width = 48;
  picture.height = 32;
  picture.rgb.assign(std::size_t{48} * 32 * 3, 220);
  for (std::size_t y = 0; y < 8; ++y) {
    for (std::size_t i = 0; i < std::size_t{8} * 3; ++i) picture.rgb[y * 48 * 3 + i] = 10;
  }
  struct Corner {
    bool wide, right, below;
  };
  const std::array<Corner, 8> corners{{{true, false, false},
                                       {true, true, false},
                                       {true, true, true},
                                       {true, false, true},
                                       {false, false, false},
                                       {false, true, false},
                                       {false, true, true},
                                       {false, false, true}}};
  const std::string jpeg = *write_jpeg(picture, 95);
  const std::string png = *write_png(picture);
  for (int orientation = 1; orientation <= 8; ++orientation) {
    for (const bool big : {false, true}) {
      const std::string tiff = exif(orientation, big);
      CHECK(orientation_of(with_exif(jpeg, tiff)) == orientation);
      for (const std::string& file : {with_exif(jpeg, tiff), with_chunk(png, "eXIf", tiff)}) {
        const auto read = read_picture(file);
        REQUIRE(read.ok());
        const Corner& corner = corners[static_cast<std::size_t>(orientation - 1)];
        CHECK((read->width == 48) == corner.wide);
        for (const bool right : {false, true}) {
          for (const bool below : {false, true}) {
            const int x = right ? read->width - 3 : 3;
            const int y = below ? read->height - 3 : 3;
            const bool dark = read->rgb[static_cast<std::size_t>(y * read->width + x) * 3] < 100;
            CHECK(dark == (right == corner.right && below == corner.below));
          }
        }
      }
    }
  }
  CHECK(orientation_of(with_exif(jpeg, exif(9, true))) == 1);
}

TEST_CASE("a turn by orientation is colour for colour: orientation 6 and back by 8 is the picture again") {
  const Picture picture = made(13, 7);
  for (const auto& [there, back] : {std::pair{2, 2}, {3, 3}, {4, 4}, {5, 5}, {6, 8}, {7, 7}, {8, 6}}) {
    const Picture once = turned_upright(picture, there);
    CHECK(once != picture);
    CHECK(turned_upright(once, back) == picture);
  }
}

TEST_CASE("what is kept has pixels and nothing else: no Exif, place, path, comment or text") {
  const Picture picture = made(40, 30);
  const std::string jpeg = with_exif(*write_jpeg(picture, 90), exif(6, true));
  const std::string text = std::string("Comment\0", 8) + "54.3210N 10.1234E C:/Users/somebody/secret.jpg";
  const std::string png = with_chunk(with_chunk(*write_png(picture), "tEXt", text), "eXIf", exif(6, false));
  REQUIRE(jpeg.find("secret") != std::string::npos);
  REQUIRE(png.find("secret") != std::string::npos);
  for (const std::string& file : {jpeg, png}) {
    const auto clean = clean_picture(file);
    REQUIRE(clean.ok());
    CHECK(clean->width == 30);
    CHECK(clean->height == 40);
    for (const char* word : {"Exif", "eXIf", "tEXt", "54.3210N", "secret", "ABCD"})
      CHECK(clean->bytes.find(word) == std::string::npos);
    const auto again = read_picture(clean->bytes);
    REQUIRE(again.ok());
    CHECK(again->width == 30);
  }
  CHECK(clean_picture(jpeg)->format == PictureFormat::kJpeg);
  CHECK(clean_picture(png)->format == PictureFormat::kPng);
}

TEST_CASE("a file cut at any byte, or with a byte changed, is an error in one line or whole pixels") {
  const Picture picture = made(50, 34);
  std::mt19937 random(7);
  for (const std::string& file : {with_exif(*write_jpeg(picture, 80), exif(3, true)),
                                  with_chunk(*write_png(picture), "eXIf", exif(3, true))}) {
    for (std::size_t size = 0; size < file.size(); ++size) {
      // The end marker alone may be missing.
      const auto read = read_picture(file.substr(0, size));
      if (size + 4 < file.size() && file[0] != '\x89') CHECK_FALSE(read.ok());
      if (read.ok()) continue;
      CHECK(read.error().code == ErrorCode::kInput);
      CHECK(read.error().message.find('\n') == std::string::npos);
    }
    for (int round = 0; round < 1500; ++round) {
      std::string broken = file;
      for (int i = 0; i <= round % 4; ++i) broken[random() % broken.size()] = static_cast<char>(random());
      const auto read = read_picture(broken);
      if (read.ok())
        CHECK(read->rgb.size() ==
              static_cast<std::size_t>(read->width) * static_cast<std::size_t>(read->height) * 3);
    }
  }
  CHECK(read_picture("GIF89a").error().message == "neither a PNG nor a JPEG file");
}

TEST_CASE("a picture that is too large is refused by its head, before any pixel is made") {
  // A PNG head of 30,000 x 30,000 without a single pixel.
  std::string png = *write_png(made(8, 8));
  const std::string side("\x00\x00\x75\x30", 4);
  const std::string head = png.substr(0, 8);
  std::string data = side + side + png.substr(24, 5);
  // The header chunk written anew in place of the old.
  png = with_chunk(head + std::string(25, '\0') + png.substr(33), "IHDR", data);
  png = head + png.substr(33);
  const auto refused = read_picture(png);
  REQUIRE_FALSE(refused.ok());
  CHECK(refused.error().message ==
        "30000 x 30000 pixels are too many; 40 million in all and 20000 a side are read");
  CHECK(read_picture(std::string(kMostBytes + 1, 'x')).error().message.find("MB are too many") !=
        std::string::npos);
}

TEST_CASE("shrinking averages whole blocks and keeps what is small enough") {
  const Picture picture = made(100, 60);
  CHECK(shrunk(picture, 100) == picture);
  const Picture small = shrunk(picture, 40);
  CHECK(small.width == 34);
  CHECK(small.height == 20);
  CHECK(std::abs(small.rgb[0] - 3) <= 1);  // columns 0 to 2 of a ramp of 2.55 a pixel
}
