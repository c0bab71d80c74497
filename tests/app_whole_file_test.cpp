// Files that the user named: replaced as a whole or not at all.
#include <fstream>
#include <iterator>

#include <doctest/doctest.h>

#include "tests/support/files.hpp"
#include "viewer/app/whole_file.hpp"

using namespace landfall;
namespace fs = std::filesystem;

namespace {

std::string content(const fs::path& file) {
  std::ifstream in(file, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

}  // namespace

TEST_CASE("a named file is replaced by the whole of what is new and stands when that cannot be written") {
  const testing::ScratchFolder folder;
  const fs::path file = folder.file("sheets.pdf");
  REQUIRE(app::write_whole("first", file).ok());
  REQUIRE(app::write_whole("second", file).ok());
  CHECK(content(file) == "second");
  CHECK_FALSE(fs::exists(folder.file("sheets.pdf.new")));

  fs::create_symlink(file, folder.file("link.pdf"));
  REQUIRE(app::write_whole("by a link", folder.file("link.pdf")).ok());
  CHECK(fs::is_symlink(folder.file("link.pdf")));
  CHECK(content(file) == "by a link");

  fs::create_directory(folder.file("sheets.pdf.new"));  // where the new one would be made
  const auto refused = app::write_whole("third", file);
  REQUIRE_FALSE(refused.ok());
  CHECK(refused.error().code == ErrorCode::kInput);
  CHECK(refused.error().message.find("what is there stands") != std::string::npos);
  CHECK(content(file) == "by a link");

  CHECK_FALSE(app::write_whole("x", folder.file("none") / "sheets.pdf").ok());
}
