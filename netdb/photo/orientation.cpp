// Exif's orientation tag, and the turn that it asks for.
#include <algorithm>
#include <array>
#include <cstddef>
#include <utility>

#include "netdb/photo/picture.hpp"

namespace landfall::photo {
namespace {

// Numbers out of bytes; zero beyond their end.
class Bytes {
 public:
  Bytes(std::string_view bytes, bool big) : bytes_(bytes), big_(big) {}
  [[nodiscard]] std::uint32_t number(std::size_t at, std::size_t size) const {
    std::uint32_t answer = 0;
    if (at > bytes_.size() || bytes_.size() - at < size) return 0;
    for (std::size_t i = 0; i < size; ++i) {
      const auto byte = static_cast<unsigned char>(bytes_[big_ ? at + i : at + size - 1 - i]);
      answer = answer << 8U | byte;
    }
    return answer;
  }

 private:
  std::string_view bytes_;
  bool big_;
};

// Of a TIFF header and its first directory, which Exif is.
int orientation_in_tiff(std::string_view tiff) {
  const bool big = tiff.substr(0, 4) == std::string_view("MM\0*", 4);
  if (!big && tiff.substr(0, 4) != std::string_view("II*\0", 4)) return 1;
  const Bytes bytes(tiff, big);
  const std::size_t directory = bytes.number(4, 4);
  const std::size_t entries = bytes.number(directory, 2);
  for (std::size_t i = 0; i < entries; ++i) {
    const std::size_t entry = directory + 2 + i * 12;
    if (entry >= tiff.size()) break;
    constexpr std::uint32_t kOrientation = 0x0112;
    constexpr std::uint32_t kShort = 3;
    if (bytes.number(entry, 2) != kOrientation || bytes.number(entry + 2, 2) != kShort) continue;
    const std::uint32_t value = bytes.number(entry + 8, 2);
    return value >= 1 && value <= 8 ? static_cast<int>(value) : 1;
  }
  return 1;
}

int orientation_in_jpeg(std::string_view file) {
  const Bytes bytes(file, true);
  for (std::size_t at = 2; at + 4 <= file.size();) {
    if (bytes.number(at, 1) != 0xFF) return 1;
    const std::uint32_t marker = bytes.number(at + 1, 1);
    if (marker == 0xFF) {  // fill bytes
      ++at;
      continue;
    }
    if (marker == 0xDA || marker == 0xD9) return 1;  // the pixels begin, or the end
    const std::size_t size = bytes.number(at + 2, 2);
    if (size < 2) return 1;
    const std::string_view segment = file.substr(at + 4, size - 2);
    constexpr std::string_view kExif("Exif\0\0", 6);
    if (marker == 0xE1 && segment.substr(0, kExif.size()) == kExif)
      return orientation_in_tiff(segment.substr(kExif.size()));
    at += 2 + size;
  }
  return 1;
}

int orientation_in_png(std::string_view file) {
  const Bytes bytes(file, true);
  for (std::size_t at = 8; at + 12 <= file.size();) {
    const std::size_t size = bytes.number(at, 4);
    const std::string_view type = file.substr(at + 4, 4);
    if (type == "eXIf") return orientation_in_tiff(file.substr(at + 8, size));
    if (type == "IEND") return 1;
    at += 12 + size;
  }
  return 1;
}

}  // namespace

int orientation_of(std::string_view bytes) {
  if (bytes.substr(0, 2) == "\xFF\xD8") return orientation_in_jpeg(bytes);
  if (bytes.substr(0, 4) == "\x89PNG") return orientation_in_png(bytes);
  return 1;
}

Picture turned_upright(Picture picture, int orientation) {
  if (orientation < 2 || orientation > 8) return picture;
  // Where the upright picture's right and down run in the stored one: Exif 2.32, table of tag 0x0112.
  const bool swapped = orientation >= 5;
  const bool from_right = orientation == 2 || orientation == 3 || orientation == 7 || orientation == 8;
  const bool from_below = orientation == 3 || orientation == 4 || orientation == 6 || orientation == 7;
  Picture answer;
  answer.width = swapped ? picture.height : picture.width;
  answer.height = swapped ? picture.width : picture.height;
  answer.rgb.resize(picture.rgb.size());
  std::size_t to = 0;
  for (int y = 0; y < answer.height; ++y) {
    for (int x = 0; x < answer.width; ++x) {
      const int across = swapped ? y : x;
      const int down = swapped ? x : y;
      const int from_x = from_right ? picture.width - 1 - across : across;
      const int from_y = from_below ? picture.height - 1 - down : down;
      const std::size_t from = (static_cast<std::size_t>(from_y) * static_cast<std::size_t>(picture.width) +
                                static_cast<std::size_t>(from_x)) *
                               3;
      for (std::size_t i = 0; i < 3; ++i) answer.rgb[to++] = picture.rgb[from + i];
    }
  }
  return answer;
}

Picture shrunk(const Picture& picture, int side) {
  const int longer = picture.width > picture.height ? picture.width : picture.height;
  const int by = (longer + side - 1) / side;
  if (by <= 1) return picture;
  Picture answer;
  answer.width = (picture.width + by - 1) / by;
  answer.height = (picture.height + by - 1) / by;
  answer.rgb.reserve(static_cast<std::size_t>(answer.width) * static_cast<std::size_t>(answer.height) * 3);
  for (int y = 0; y < answer.height; ++y) {
    for (int x = 0; x < answer.width; ++x) {
      std::array<unsigned, 3> sum{};
      unsigned count = 0;
      for (int v = y * by; v < (y + 1) * by && v < picture.height; ++v) {
        for (int u = x * by; u < (x + 1) * by && u < picture.width; ++u, ++count) {
          const std::size_t from = (static_cast<std::size_t>(v) * static_cast<std::size_t>(picture.width) +
                                    static_cast<std::size_t>(u)) *
                                   3;
          for (std::size_t i = 0; i < 3; ++i) sum[i] += picture.rgb[from + i];
        }
      }
      count = std::max(count, 1U);
      for (const unsigned value : sum)
        answer.rgb.push_back(static_cast<std::uint8_t>((value + count / 2) / count));
    }
  }
  return answer;
}

}  // namespace landfall::photo
