// The verdict's charts: where a margin stands on the axis, what is full and what is hollow.
#include <cmath>

#include <doctest/doctest.h>

#include "viewer/scene/verdict_scene.hpp"

using namespace landfall;
using namespace landfall::rework::verdict;
using scene::Shape;
using scene::ShapeKind;

namespace {

VerdictCase simple_case(int wires) {
  VerdictCase input;
  input.repair.groups = {{ChanceKind::kVia, wires, false, false}};
  input.shop = default_figures();
  input.shop.price = 500;
  input.shop.swap_price = 520;
  input.shop.swap_board = 300;
  return input;
}

std::vector<Shape> shapes_of(const Verdict& verdict, scene::Rect area, bool counts) {
  const scene::Theme& theme = scene::theme(scene::ThemeName::kDay);
  scene::Canvas canvas(theme.stroke);
  if (counts) {
    scene::draw_wire_counts(canvas, theme, verdict, area);
  } else {
    scene::draw_options(canvas, theme, verdict, nullptr, area);
  }
  return canvas.shapes();
}

}  // namespace

TEST_CASE("an axis has round steps and holds what it must") {
  for (const auto& [low, high] :
       {std::pair{-87.0, 43.0}, {0.0, 1.0}, {-3.2, -1.1}, {0.0, 0.0}, {-12000.0, 4e6}}) {
    const scene::Axis axis = scene::round_axis(low, high, 6);
    CHECK(axis.low <= low);
    CHECK(axis.high >= high);
    CHECK(axis.high > axis.low);
    const double mantissa = axis.step / std::pow(10, std::floor(std::log10(axis.step) + 1e-9));
    const bool round =
        std::abs(mantissa - 1) < 1e-9 || std::abs(mantissa - 2) < 1e-9 || std::abs(mantissa - 5) < 1e-9;
    CHECK(round);
    CHECK((axis.high - axis.low) / axis.step <= 9);
  }
}

TEST_CASE("money has its sign, and nothing has none") {
  CHECK(scene::money_text(139) == "+139.00");
  CHECK(scene::money_text(-3.456) == "\u22123.46");
  CHECK(scene::money_text(0) == "0.00");
  CHECK(scene::money_text(-0.001) == "0.00");
}

TEST_CASE("the best option stands first, and every offered one has its dot in the order of its margin") {
  const auto verdict = give_verdict(simple_case(4));
  REQUIRE(verdict.ok());
  const auto shapes = shapes_of(*verdict, {0, 0, 1000, 300}, false);
  std::vector<std::string> rows;
  std::vector<double> dots;
  for (const Shape& shape : shapes) {
    if (shape.kind == ShapeKind::kLabel && shape.size == 15 && shape.at.x == 16) rows.push_back(shape.text);
    if (shape.kind == ShapeKind::kDisc && shape.radius == 7) dots.push_back(shape.at.x);
  }
  REQUIRE(rows.size() == kOptions);
  CHECK(rows.front() == word(verdict->best));
  std::size_t offered = 0;
  for (const Option& option : verdict->options) offered += option.offered ? 1U : 0U;
  REQUIRE(dots.size() == offered);
  CHECK(offered > 1);
  CHECK(std::is_sorted(dots.rbegin(), dots.rend()));  // rows go down, margins go left
}

TEST_CASE(
    "margins by number of wires are those of a verdict with so many, and full dots are those that pay") {
  const auto verdict = give_verdict(simple_case(4));
  REQUIRE(verdict.ok());
  const BreakEvenWires& wires = verdict->wires;
  REQUIRE(wires.margins.size() >= 8);
  for (const auto& [count, margin] : wires.margins) {
    const auto other = give_verdict(simple_case(count));
    REQUIRE(other.ok());
    CHECK(other->option(OptionKind::kRepair).margin == doctest::Approx(margin));
  }
  std::size_t full = 0;
  for (const auto& [count, margin] : wires.margins) full += wires.most && count <= *wires.most ? 1U : 0U;
  std::size_t rings = 0;
  std::size_t discs = 0;
  for (const Shape& shape : shapes_of(*verdict, {0, 0, 600, 240}, true)) {
    rings += shape.kind == ShapeKind::kRing ? 1U : 0U;
    discs += shape.kind == ShapeKind::kDisc ? 1U : 0U;
  }
  CHECK(discs == wires.margins.size());
  CHECK(rings == wires.margins.size() - full);
}
