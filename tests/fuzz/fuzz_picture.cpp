// Any bytes as a picture: a clear error or whole pixels.
#include <cstdint>
#include <cstdlib>
#include <string_view>

#include "netdb/photo/picture.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace landfall::photo;
  const auto picture = read_picture({reinterpret_cast<const char*>(data), size});
  if (!picture.ok()) return 0;
  const auto pixels = static_cast<std::size_t>(picture->width) * static_cast<std::size_t>(picture->height);
  if (picture->rgb.size() != pixels * 3) std::abort();
  return 0;
}
