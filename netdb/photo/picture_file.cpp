// PNG by libpng's simplified interface, JPEG by TurboJPEG's: neither jumps out of the middle of our frames.
#include <memory>

#include <fmt/format.h>
#include <png.h>
#include <turbojpeg.h>

#include "netdb/photo/picture.hpp"

namespace landfall::photo {
namespace {

Error bad(std::string message) {
  return {ErrorCode::kInput, std::move(message)};
}

Status check_size(std::int64_t width, std::int64_t height) {
  if (width < 1 || height < 1) return bad("the picture has no pixels");
  if (width > kLongestSide || height > kLongestSide || width * height > kMostPixels)
    return bad(fmt::format("{} x {} pixels are too many; {} million in all and {} a side are read", width,
                           height, kMostPixels / 1'000'000, kLongestSide));
  return done();
}

void make_room(Picture& picture, std::int64_t width, std::int64_t height) {
  picture.width = static_cast<int>(width);
  picture.height = static_cast<int>(height);
  picture.rgb.resize(static_cast<std::size_t>(width * height * 3));
}

struct PngImage {
  PngImage() { image.version = PNG_IMAGE_VERSION; }
  PngImage(const PngImage&) = delete;
  PngImage& operator=(const PngImage&) = delete;
  ~PngImage() { png_image_free(&image); }
  png_image image{};
};

Result<Picture> read_png(std::string_view bytes) {
  PngImage png;
  if (png_image_begin_read_from_memory(&png.image, bytes.data(), bytes.size()) == 0)
    return bad(fmt::format("not a whole PNG file ({})", png.image.message));
  if (auto checked = check_size(png.image.width, png.image.height); !checked.ok()) return checked.error();
  Picture picture;
  make_room(picture, png.image.width, png.image.height);
  png.image.format = PNG_FORMAT_RGB;
  const png_color white{255, 255, 255};
  if (png_image_finish_read(&png.image, &white, picture.rgb.data(), 0, nullptr) == 0)
    return bad(fmt::format("the PNG file ends early or is damaged ({})", png.image.message));
  return picture;
}

struct CloseTurbo {
  void operator()(void* handle) const { tjDestroy(handle); }
};
using Turbo = std::unique_ptr<void, CloseTurbo>;

const unsigned char* unsigned_bytes(std::string_view bytes) {
  return reinterpret_cast<const unsigned char*>(bytes.data());
}

Result<Picture> read_jpeg(std::string_view bytes) {
  const Turbo turbo(tjInitDecompress());
  if (!turbo) return bad("the JPEG reader did not start");
  int width = 0;
  int height = 0;
  int thinned = 0;
  int colours = 0;
  const auto size = static_cast<unsigned long>(bytes.size());
  if (tjDecompressHeader3(turbo.get(), unsigned_bytes(bytes), size, &width, &height, &thinned, &colours) != 0)
    return bad(fmt::format("not a whole JPEG file ({})", tjGetErrorStr2(turbo.get())));
  if (auto checked = check_size(width, height); !checked.ok()) return checked.error();
  Picture picture;
  make_room(picture, width, height);
  // Scans are limited: a small file of thousands of them would take minutes.
  const int code = tjDecompress2(turbo.get(), unsigned_bytes(bytes), size, picture.rgb.data(), width, 0,
                                 height, TJPF_RGB, TJFLAG_LIMITSCANS | TJFLAG_ACCURATEDCT);
  if (code != 0) {
    // Bytes too many between two pieces harm nothing; some cameras write them.
    const std::string_view why = tjGetErrorStr2(turbo.get());
    const bool harmless = tjGetErrorCode(turbo.get()) == TJERR_WARNING &&
                          why.find("extraneous bytes") != std::string_view::npos;
    if (!harmless) return bad(fmt::format("the JPEG file ends early or is damaged ({})", why));
  }
  return picture;
}

bool is_png(std::string_view bytes) {
  return bytes.substr(0, 8) == "\x89PNG\r\n\x1A\n";
}

}  // namespace

std::string_view word(PictureFormat format) {
  return format == PictureFormat::kPng ? "png" : "jpeg";
}

Result<Picture> read_picture(std::string_view bytes) {
  if (bytes.size() > kMostBytes)
    return bad(
        fmt::format("{} MB are too many; {} MB are read", bytes.size() / 1'000'000, kMostBytes / 1'000'000));
  const bool jpeg = bytes.substr(0, 3) == "\xFF\xD8\xFF";
  if (!jpeg && !is_png(bytes)) return bad("neither a PNG nor a JPEG file");
  auto picture = jpeg ? read_jpeg(bytes) : read_png(bytes);
  if (!picture.ok()) return picture;
  return turned_upright(std::move(picture).value(), orientation_of(bytes));
}

Result<std::string> write_png(const Picture& picture) {
  PngImage png;
  png.image.width = static_cast<png_uint_32>(picture.width);
  png.image.height = static_cast<png_uint_32>(picture.height);
  png.image.format = PNG_FORMAT_RGB;
  // The first call only measures.
  png_alloc_size_t size = 0;
  if (png_image_write_to_memory(&png.image, nullptr, &size, 0, picture.rgb.data(), 0, nullptr) == 0)
    return bad(fmt::format("the picture cannot be written as PNG ({})", png.image.message));
  std::string bytes(size, '\0');
  if (png_image_write_to_memory(&png.image, bytes.data(), &size, 0, picture.rgb.data(), 0, nullptr) == 0)
    return bad(fmt::format("the picture cannot be written as PNG ({})", png.image.message));
  bytes.resize(size);
  return bytes;
}

Result<std::string> write_jpeg(const Picture& picture, int quality) {
  const Turbo turbo(tjInitCompress());
  if (!turbo) return bad("the JPEG writer did not start");
  unsigned char* buffer = nullptr;
  unsigned long size = 0;
  const int code = tjCompress2(turbo.get(), picture.rgb.data(), picture.width, 0, picture.height, TJPF_RGB,
                               &buffer, &size, TJSAMP_444, quality, TJFLAG_ACCURATEDCT);
  const std::unique_ptr<unsigned char, void (*)(unsigned char*)> owned(buffer, tjFree);
  if (code != 0)
    return bad(fmt::format("the picture cannot be written as JPEG ({})", tjGetErrorStr2(turbo.get())));
  return std::string(reinterpret_cast<const char*>(buffer), size);
}

Result<CleanPicture> clean_picture(std::string_view bytes) {
  const auto picture = read_picture(bytes);
  if (!picture.ok()) return picture.error();
  CleanPicture clean;
  clean.width = picture->width;
  clean.height = picture->height;
  clean.format = is_png(bytes) ? PictureFormat::kPng : PictureFormat::kJpeg;
  auto written =
      clean.format == PictureFormat::kPng ? write_png(*picture) : write_jpeg(*picture, kKeptQuality);
  if (!written.ok()) return written.error();
  clean.bytes = std::move(written).value();
  return clean;
}

}  // namespace landfall::photo
