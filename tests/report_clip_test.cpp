// What is cut at the edge of a picture on paper, and where pages break.
#include <algorithm>

#include <doctest/doctest.h>

#include "viewer/report/clip.hpp"
#include "viewer/report/layout.hpp"

using namespace landfall;
using scene::Shape;
using scene::ShapeKind;

namespace {

constexpr scene::Rect kWindow{10, 10, 100, 50};

bool inside(const std::vector<Shape>& shapes) {
  for (const Shape& shape : shapes) {
    for (const scene::P p : shape.points) {
      constexpr double kSlack = 1e-9;
      if (p.x < 10 - kSlack || p.x > 110 + kSlack || p.y < 10 - kSlack || p.y > 60 + kSlack) return false;
    }
    const bool round = shape.kind == ShapeKind::kDisc || shape.kind == ShapeKind::kRing;
    const double reach = shape.radius + (shape.kind == ShapeKind::kRing ? shape.width / 2 : 0);
    if (round && (shape.at.x - reach < 10 || shape.at.x + reach > 110 || shape.at.y - reach < 10 ||
                  shape.at.y + reach > 60))
      return false;
  }
  return true;
}

}  // namespace

TEST_CASE("discs and rings that cross the edge of a picture are cut there, whole ones stay as they are") {
  scene::Canvas canvas(1);
  canvas.disc({60, 12}, 20, {});  // its middle inside, half of it above
  canvas.ring({60, 8}, 20, 6, {});
  canvas.ring({108, 30}, 5, 2, {});
  const auto cut = report::clipped(canvas.shapes(), kWindow);
  CHECK(cut.size() >= 3);
  CHECK(inside(cut));
  for (const Shape& shape : cut) CHECK(shape.kind == ShapeKind::kPolygon);

  scene::Canvas whole(1);
  whole.disc({60, 35}, 20, {});
  whole.ring({60, 35}, 20, 6, {});
  whole.disc({60, 200}, 20, {});  // far off
  const auto kept = report::clipped(whole.shapes(), kWindow);
  REQUIRE(kept.size() == 2);
  CHECK(kept[0].kind == ShapeKind::kDisc);
  CHECK(kept[1].kind == ShapeKind::kRing);
}

TEST_CASE("a table's title and head never stand at a page's foot without a row, wherever they fall") {
  const auto has = [](const report::Page& page, const char* text) {
    return std::any_of(page.shapes.begin(), page.shapes.end(),
                       [&](const Shape& shape) { return shape.text == text; });
  };
  // A picture a little taller each time moves the table down to the page's foot and beyond.
  for (int tall = 800; tall <= 1000; ++tall) {
    CAPTURE(tall);
    report::Document document;
    report::Sheet sheet;
    sheet.title = "Sheet";
    report::Block filler;
    filler.kind = report::BlockKind::kPicture;
    filler.true_size = true;
    filler.picture.width = 10;
    filler.picture.height = tall;
    sheet.blocks.push_back(filler);
    report::Block block;
    block.kind = report::BlockKind::kTable;
    block.table.key = "t";
    block.table.title = "Title";
    block.table.columns = {{"a", "head"}};
    block.table.rows = {{{"row", {}}}};
    sheet.blocks.push_back(block);
    document.sheets = {sheet};
    for (const report::Page& page : report::lay_out(document)) CHECK(has(page, "Title") == has(page, "row"));
  }
}
