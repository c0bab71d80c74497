// The map's scene as text, compared with what people have read: tests/data/scene/*.txt. LANDFALL_BLESS=1
// writes them anew.
#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <functional>

#include <doctest/doctest.h>
#include <fmt/format.h>

#include "netdb/packages/packages.hpp"
#include "tests/support/files.hpp"
#include "viewer/scene/map.hpp"
#include "viewer/scene/rose.hpp"

using namespace landfall;

namespace {

std::string colour_text(scene::Colour c) {
  return fmt::format("#{:02x}{:02x}{:02x}", c.r, c.g, c.b);
}

// Rounded to a tenth, without a minus before zero, so that no compiler's last bit matters.
std::string number(double v) {
  const double tenth = std::round(v * 10) / 10;
  return fmt::format("{:.1f}", tenth == 0 ? 0.0 : tenth);
}

std::string shape_text(const scene::Shape& shape) {
  std::string text;
  switch (shape.kind) {
    case scene::ShapeKind::kDisc:
      return fmt::format("disc {} {},{} r {}\n", colour_text(shape.colour), number(shape.at.x),
                         number(shape.at.y), number(shape.radius));
    case scene::ShapeKind::kRing:
      return fmt::format("ring {} {},{} r {} width {}\n", colour_text(shape.colour), number(shape.at.x),
                         number(shape.at.y), number(shape.radius), number(shape.width));
    case scene::ShapeKind::kLine:
    case scene::ShapeKind::kPolygon:
      text = fmt::format("{} {} width {}", shape.kind == scene::ShapeKind::kLine ? "line" : "area",
                         colour_text(shape.colour), number(shape.width));
      for (const scene::P p : shape.points) text += fmt::format(" {},{}", number(p.x), number(p.y));
      return text + "\n";
    case scene::ShapeKind::kLabel:
      return fmt::format("label {} {},{} size {} \"{}\"\n", colour_text(shape.colour), number(shape.at.x),
                         number(shape.at.y), number(shape.size), shape.text);
  }
  return text;
}

void compare(const std::string& name, const std::string& text) {
  const std::filesystem::path file = std::filesystem::path(LANDFALL_SOURCE) / "tests/data/scene" / name;
  if (std::getenv("LANDFALL_BLESS") != nullptr) {
    std::filesystem::create_directories(file.parent_path());
    std::ofstream(file, std::ios::binary) << text;
  }
  const std::string golden = testing::read_file(file);
  if (text == golden) return;
  std::size_t at = 0;
  while (at < text.size() && at < golden.size() && text[at] == golden[at]) ++at;
  const std::size_t start = text.rfind('\n', at) == std::string::npos ? 0 : text.rfind('\n', at) + 1;
  FAIL_CHECK(name << " differs first at: " << text.substr(start, 120));
}

std::string map_text(const std::function<void(scene::MapInput&, Job&)>& change) {
  app::OpenBoard board({}, *packages::bare_board(3, 4, 800'000), {});
  const Package package = packages::package_of(board.index(), 0);
  Job job;
  job.lifted = {"U1"};
  scene::MapInput in;
  in.board = &board;
  in.package = &package;
  in.job = &job;
  change(in, job);
  scene::Canvas canvas(1);
  scene::MapView(in, {0, 0, 300, 240}).draw(canvas);
  std::string text;
  for (const scene::Shape& shape : canvas.shapes()) text += shape_text(shape);
  return text;
}

}  // namespace

TEST_CASE("the scene of a small package, plain, marked and turned, is what was read and agreed on") {
  compare("lands.txt", map_text([](scene::MapInput&, Job&) {}));
  compare("lands-marked.txt", map_text([](scene::MapInput& in, Job& job) {
            int kind = 0;
            for (const char* ball : {"A1", "A2", "A3", "A4", "B1", "B2", "B3"})
              job.marks.push_back({"U1", ball, static_cast<MarkKind>(kind++), ""});
            in.selected = 5;
          }));
  compare("balls-turned.txt", map_text([](scene::MapInput& in, Job&) {
            in.face = scene::Face::kBalls;
            in.turn = 90;
            in.theme = scene::ThemeName::kNight;
          }));
}

TEST_CASE("the rose of either face is what was read and agreed on") {
  std::string text;
  for (const scene::Face face : {scene::Face::kLands, scene::Face::kBalls}) {
    scene::Canvas canvas(1);
    draw_rose(canvas, {60, 60}, 52, face, face == scene::Face::kLands ? 37 : 90,
              scene::theme(scene::ThemeName::kDay));
    for (const scene::Shape& shape : canvas.shapes()) text += shape_text(shape);
  }
  compare("rose.txt", text);
}
