// A photo with cairo.
#include <cstring>
#include <memory>

#include "viewer/report/paint.hpp"

namespace landfall::report {
namespace {

struct Drop {
  void operator()(cairo_surface_t* surface) const { cairo_surface_destroy(surface); }
};
using Surface = std::unique_ptr<cairo_surface_t, Drop>;

constexpr int kPrintedQuality = 88;

Surface surface_of(const photo::Picture& picture) {
  Surface surface(cairo_image_surface_create(CAIRO_FORMAT_RGB24, picture.width, picture.height));
  unsigned char* to = cairo_image_surface_get_data(surface.get());
  if (to == nullptr) return surface;  // it holds its own error
  const auto stride = static_cast<std::size_t>(cairo_image_surface_get_stride(surface.get()));
  const auto width = static_cast<std::size_t>(picture.width);
  for (std::size_t y = 0; y < static_cast<std::size_t>(picture.height); ++y) {
    for (std::size_t x = 0; x < width; ++x) {
      const std::uint8_t* rgb = &picture.rgb[(y * width + x) * 3];
      const std::uint32_t pixel = std::uint32_t{rgb[0]} << 16U | std::uint32_t{rgb[1]} << 8U | rgb[2];
      std::memcpy(to + y * stride + x * 4, &pixel, 4);
    }
  }
  cairo_surface_mark_dirty(surface.get());
  return surface;
}

// The surface takes the bytes over and drops them with itself.
void attach_jpeg(cairo_surface_t* surface, const photo::Picture& picture) {
  auto bytes = photo::write_jpeg(picture, kPrintedQuality);
  if (!bytes.ok()) return;  // then it is kept as pixels
  auto owned = std::make_unique<std::string>(std::move(bytes).value());
  const auto* data = reinterpret_cast<const unsigned char*>(owned->data());
  const auto drop = [](void* kept) { std::unique_ptr<std::string>(static_cast<std::string*>(kept)).reset(); };
  const auto set =
      cairo_surface_set_mime_data(surface, CAIRO_MIME_TYPE_JPEG, data, owned->size(), drop, owned.get());
  if (set == CAIRO_STATUS_SUCCESS) (void)owned.release();
}

}  // namespace

void paint_photo(cairo_t* cr, const photo::Picture& picture, scene::P corner, double scale, bool as_jpeg) {
  const Surface photo = surface_of(picture);
  if (as_jpeg) attach_jpeg(photo.get(), picture);
  cairo_save(cr);
  cairo_translate(cr, corner.x, corner.y);
  cairo_scale(cr, scale, scale);
  cairo_set_source_surface(cr, photo.get(), 0, 0);
  cairo_paint(cr);
  cairo_restore(cr);
}

}  // namespace landfall::report
