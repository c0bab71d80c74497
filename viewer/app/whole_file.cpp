#include "viewer/app/whole_file.hpp"

#include <fstream>
#include <system_error>

namespace landfall::app {
namespace {

namespace fs = std::filesystem;

Error unwritable(const fs::path& file) {
  return {ErrorCode::kInput, file.string() + ": it cannot be written"};
}

Status write_straight(std::string_view bytes, const fs::path& file) {
  std::ofstream out(file, std::ios::binary | std::ios::trunc);
  const bool opened = out.is_open();
  out.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
  out.close();
  if (out.good()) return done();
  std::error_code ignored;
  if (opened && fs::is_regular_file(file, ignored)) fs::remove(file, ignored);
  return unwritable(file);
}

}  // namespace

Status write_whole(std::string_view bytes, const fs::path& file) {
  std::error_code failed;
  if (!fs::is_regular_file(file, failed)) return write_straight(bytes, file);
  if (!std::ofstream(file, std::ios::binary | std::ios::app).is_open()) return unwritable(file);
  const fs::path own = fs::canonical(file, failed);  // a link stays one
  fs::path beside = own;
  beside += ".new";
  if (!failed && write_straight(bytes, beside).ok()) {
    fs::rename(beside, own, failed);
    if (!failed) return done();
    std::error_code ignored;
    fs::remove(beside, ignored);
  }
  return Error{ErrorCode::kInput, file.string() + ": it cannot be written; what is there stands"};
}

}  // namespace landfall::app
