// The whole board's scene: what is drawn, where, and what lies under a point.
#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <fstream>
#include <map>
#include <set>

#include <doctest/doctest.h>
#include <fmt/format.h>

#include "netdb/packages/packages.hpp"
#include "tests/support/files.hpp"
#include "viewer/scene/board_picture.hpp"

using namespace landfall;
using scene::BoardInput;
using scene::BoardView;
using scene::P;
using scene::Shape;
using scene::ShapeKind;

namespace {

const scene::Rect kArea{8, 92, 720, 600};

// The shapes as text, a line each, places to a tenth of a pixel: what a person can check against the picture.
std::string text_of(const std::vector<Shape>& shapes) {
  std::string text;
  for (const Shape& s : shapes) {
    const std::string colour = fmt::format("{:02x}{:02x}{:02x}", s.colour.r, s.colour.g, s.colour.b);
    switch (s.kind) {
      case ShapeKind::kDisc:
        text += fmt::format("disc {} {:.1f},{:.1f} r {:.1f}", colour, s.at.x, s.at.y, s.radius);
        break;
      case ShapeKind::kRing:
        text +=
            fmt::format("ring {} {:.1f},{:.1f} r {:.1f} w {:.1f}", colour, s.at.x, s.at.y, s.radius, s.width);
        break;
      case ShapeKind::kLabel:
        text += fmt::format("label {} {:.1f},{:.1f} '{}' {:.0f}", colour, s.at.x, s.at.y, s.text, s.size);
        break;
      case ShapeKind::kLine:
      case ShapeKind::kPolygon:
        text += fmt::format("{} {}", s.kind == ShapeKind::kLine ? "line" : "polygon", colour);
        if (s.kind == ShapeKind::kLine) text += fmt::format(" w {:.1f}", s.width);
        for (const P p : s.points) text += fmt::format(" {:.1f},{:.1f}", p.x, p.y);
        break;
    }
    text += '\n';
  }
  return text;
}

// A board of 20 x 10 mm: U1 of two by two balls on top, R1 between two nets, TP1 below, copper on both sides.
Board small_board() {
  Board b;
  b.layers = {"F.Cu", "B.Cu"};
  b.outline = {{{0, 0}, {20'000'000, 0}},
               {{20'000'000, 10'000'000}, {20'000'000, 0}},
               {{20'000'000, 10'000'000}, {0, 10'000'000}},
               {{0, 0}, {0, 10'000'000}}};
  b.nets = {{"SIG", false, {}}, {"FAR", false, {}}, {"GND", false, {}}};
  const auto part = [&](const char* reference, Point at, double angle, Side side) {
    Part p;
    p.reference = reference;
    p.placed = true;
    p.at = at;
    p.angle = angle;
    p.side = side;
    b.parts.push_back(p);
    return static_cast<Index>(b.parts.size() - 1);
  };
  const auto land = [&](Index of, const char* number, Index net, Point at, LandShape shape, Nm w, Nm h,
                        double angle) {
    Pin pin;
    pin.part = of;
    pin.number = number;
    pin.net = net;
    b.pins.push_back(pin);
    Land l;
    l.part = of;
    l.pin = static_cast<Index>(b.pins.size() - 1);
    l.net = net;
    l.at = at;
    l.side = b.parts[of].side;
    l.shape = shape;
    l.width = w;
    l.height = h;
    l.angle = angle;
    l.layers = layer_bit(l.side == Side::kTop ? 0 : 1);
    b.lands.push_back(l);
  };
  const Index u1 = part("U1", {5'000'000, 6'000'000}, 0, Side::kTop);
  land(u1, "A1", 0, {4'000'000, 7'000'000}, LandShape::kCircle, 800'000, 800'000, 0);
  land(u1, "A2", 2, {6'000'000, 7'000'000}, LandShape::kCircle, 800'000, 800'000, 0);
  land(u1, "B1", 2, {4'000'000, 5'000'000}, LandShape::kCircle, 800'000, 800'000, 0);
  land(u1, "B2", 2, {6'000'000, 5'000'000}, LandShape::kCircle, 800'000, 800'000, 0);
  const Index r1 = part("R1", {12'000'000, 7'000'000}, 90, Side::kTop);
  land(r1, "1", 0, {12'000'000, 6'000'000}, LandShape::kRect, 1'000'000, 1'200'000, 90);
  land(r1, "2", 1, {12'000'000, 8'000'000}, LandShape::kOval, 1'000'000, 1'200'000, 90);
  const Index tp1 = part("TP1", {16'000'000, 3'000'000}, 0, Side::kBottom);
  land(tp1, "1", 1, {16'000'000, 3'000'000}, LandShape::kCircle, 1'500'000, 1'500'000, 0);
  b.tracks = {{{4'000'000, 7'000'000}, {12'000'000, 6'000'000}, 200'000, 0, 0},
              {{12'000'000, 8'000'000}, {16'000'000, 8'000'000}, 200'000, 0, 1},
              {{16'000'000, 8'000'000}, {16'000'000, 3'000'000}, 200'000, 1, 1}};
  Via via;
  via.at = {16'000'000, 8'000'000};
  via.diameter = 600'000;
  via.drill = 300'000;
  via.last = 1;
  via.net = 1;
  b.vias = {via};
  return b;
}

std::vector<Shape> drawn(const BoardInput& in, scene::Rect area = kArea) {
  scene::Canvas canvas(1);
  BoardView(in, area).draw(canvas);
  return std::move(canvas.shapes());
}

std::shared_ptr<const app::OpenBoard> open(Board board) {
  return std::make_shared<app::OpenBoard>(store::BoardInfo{}, std::move(board), std::vector<NameRule>{});
}

std::shared_ptr<const app::OpenBoard> sample() {
  const auto folder = std::filesystem::path(LANDFALL_SOURCE) / "sample-boards/skua4";
  return open(testing::open_board({folder / "skua4.kicad_pcb", folder / "skua4.net"}));
}

}  // namespace

TEST_CASE("golden: a small board, a net through a series part, a mark, a wire, both sides") {
  const auto board = open(small_board());
  Job job;
  job.lifted = {"U1"};
  job.marks = {{"U1", "B2", MarkKind::kTorn, ""}};
  const std::vector<scene::BoardWire> wires{
      {{{6'000'000, 5'000'000}, {9'000'000, 3'000'000}, {16'000'000, 8'000'000}},
       1,
       scene::WireState::kToDo}};
  BoardInput in;
  in.board = board.get();
  in.job = &job;
  in.wires = wires;
  in.net = 0;
  std::string text = "top side\n" + text_of(drawn(in));
  in.side = Side::kBottom;
  text += "bottom side\n" + text_of(drawn(in));
  const auto file = testing::data_file("scene_board.golden");
  if (std::getenv("LANDFALL_BLESS") != nullptr) std::ofstream(file, std::ios::binary) << text;
  CHECK(text == testing::read_file(file));
}

TEST_CASE("the figures of the rulers at the sides have room in their band, and are not cut to others") {
  const auto board = sample();
  for (const double zoom : {1.0, 3.0, 8.0, 20.0, 60.0}) {
    CAPTURE(zoom);
    BoardInput in;
    in.board = board.get();
    in.zoom = zoom;
    std::size_t seen = 0;
    for (const Shape& s : drawn(in)) {
      const bool left = s.kind == ShapeKind::kLabel && s.at.x < kArea.x + 20;
      const bool right = s.kind == ShapeKind::kLabel && s.at.x > kArea.x + kArea.width - 20;
      if (!left && !right) continue;
      ++seen;
      CAPTURE(s.text);
      // The band is 26 wide, its graduation 5.
      CHECK(scene::text_width(s.text, s.size, s.face) <= 21.0);
    }
    CHECK(seen > 2);
  }
}

TEST_CASE("numbers of wires that begin side by side do not lie on one another") {
  const auto board = open(small_board());
  std::vector<scene::BoardWire> wires;
  for (int n = 1; n <= 6; ++n)
    wires.push_back({{{6'000'000 + n * 50'000, 5'000'000}, {16'000'000, 1'000'000 + n * 1'300'000}},
                     n,
                     n == 4 ? scene::WireState::kPresent : scene::WireState::kToDo});
  BoardInput in;
  in.board = board.get();
  in.wires = wires;
  std::vector<Shape> numbers;
  for (const Shape& s : drawn(in)) {
    if (s.kind == ShapeKind::kLabel && s.size == 12 && s.face == scene::Typeface::kBold) numbers.push_back(s);
  }
  REQUIRE(numbers.size() == 12);
  for (std::size_t i = 0; i < numbers.size(); ++i) {
    for (std::size_t k = i + 1; k < numbers.size(); ++k) {
      CAPTURE(numbers[i].text + " and " + numbers[k].text);
      // A number's pill is 22 by 18.
      const bool apart = std::abs(numbers[i].at.x - numbers[k].at.x) >= 22 ||
                         std::abs(numbers[i].at.y - numbers[k].at.y) >= 18;
      CHECK(apart);
    }
  }
  // The present one stands at its end.
  const BoardView view(in, kArea);
  const P end = view.to_screen(scene::place_of({6'200'000, 5'000'000}));
  CHECK(std::any_of(numbers.begin(), numbers.end(), [&](const Shape& s) {
    return s.text == "4" && std::hypot(s.at.x - end.x, s.at.y - end.y) < 0.1;
  }));
}

TEST_CASE(
    "the centre of a drawn land hits that land, or a smaller one that lies on it, both sides, any zoom") {
  const auto board = sample();
  std::size_t covered = 0;
  for (const Side side : {Side::kTop, Side::kBottom}) {
    for (const double zoom : {1.0, 2.5, 8.0}) {
      BoardInput in;
      in.board = board.get();
      in.side = side;
      in.zoom = zoom;
      const BoardView view(in, kArea);
      std::size_t seen = 0;
      for (const Index i : view.lands()) {
        const Land& land = board->board().lands[i];
        const P at = view.to_screen(scene::place_of(land.at));
        if (!view.inner().contains(at)) continue;
        ++seen;
        const auto hit = view.hit(at);
        REQUIRE(hit);
        REQUIRE(hit->land != kNone);
        if (hit->land == i) {
          CHECK(hit->pin == land.pin);
          CHECK(hit->net == land.net);
          continue;
        }
        ++covered;
        const Land& other = board->board().lands[hit->land];
        CHECK(scene::land_area(other) <= scene::land_area(land));
        CHECK(scene::land_holds(other, scene::place_of(land.at), 0));
      }
      CHECK(seen > 0);
    }
  }
  CHECK(covered == 0);  // no two lands of the sample board lie on one another
}

TEST_CASE("the bottom side is the mirror image of the top's coordinates, left and right") {
  const auto board = sample();
  BoardInput in;
  in.board = board.get();
  const BoardView top(in, kArea);
  BoardInput below = in;
  below.side = Side::kBottom;
  const BoardView bottom(below, kArea);
  const double middle = top.inner().middle().x;
  for (const Land& land : board->board().lands) {
    const P a = top.to_screen(scene::place_of(land.at));
    const P b = bottom.to_screen(scene::place_of(land.at));
    CHECK(a.x - middle == doctest::Approx(middle - b.x).epsilon(1e-9));
    CHECK(a.y == doctest::Approx(b.y).epsilon(1e-9));
    const P back = bottom.to_board(b);
    CHECK(back.x == doctest::Approx(static_cast<double>(land.at.x)).epsilon(1e-6));
    CHECK(back.y == doctest::Approx(static_cast<double>(land.at.y)).epsilon(1e-6));
  }
  // x runs to the right, and y up, seen from above.
  CHECK(top.to_screen({1e6, 0}).x > top.to_screen({0, 0}).x);
  CHECK(top.to_screen({0, 1e6}).y < top.to_screen({0, 0}).y);
}

TEST_CASE("every part of the sample board that has a place is named once, and no name is cut by the frame") {
  const auto board = sample();
  std::map<std::string, int> named;
  for (const Side side : {Side::kTop, Side::kBottom}) {
    BoardInput in;
    in.board = board.get();
    in.side = side;
    const scene::Picture picture = scene::board_picture(in, false);
    for (const Shape& s : picture.shapes) {
      if (s.kind != ShapeKind::kLabel) continue;
      if (board->index().part(s.text) != kNone) ++named[s.text];
      const double half =
          scene::text_width(s.text, s.size, s.face) * (s.align == scene::Align::kMiddle ? 0.5 : 1);
      CHECK(s.at.x - (s.align == scene::Align::kLeft ? 0 : half) >= 0);
      CHECK(s.at.x + (s.align == scene::Align::kRight ? 0 : half) <= picture.width + 1);
      CHECK(s.at.y + s.size / 2 <= picture.height);
    }
  }
  std::set<Index> placed;
  for (const Land& land : board->board().lands) placed.insert(land.part);
  placed.erase(kNone);
  CHECK(placed.size() == 70);
  for (const Index part : placed) {
    INFO(board->board().parts[part].reference);
    CHECK(named[board->board().parts[part].reference] == 1);
  }
  CHECK(named.size() == placed.size());
}

TEST_CASE("the wheel leaves the point under the pointer where it is") {
  const auto board = open(small_board());
  BoardInput in;
  in.board = board.get();
  for (const Side side : {Side::kTop, Side::kBottom}) {
    in = {};
    in.board = board.get();
    in.side = side;
    const P pointer{300, 410};
    for (const double factor : {1.25, 1.25, 0.8, 3.0}) {
      const P before = BoardView(in, kArea).to_board(pointer);
      in.pan = BoardView(in, kArea).pan_about(pointer, factor);
      in.zoom *= factor;
      const P after = BoardView(in, kArea).to_board(pointer);
      CHECK(std::abs(before.x - after.x) < 1);
      CHECK(std::abs(before.y - after.y) < 1);
    }
  }
}

TEST_CASE(
    "a net's copper is drawn on both sides, strong where it lies, and can be hit, other copper is not") {
  const auto board = open(small_board());
  BoardInput in;
  in.board = board.get();
  in.net = 1;
  const auto act = scene::theme(in.theme).act;
  const auto strong_lines = [&] {
    const auto shapes = drawn(in);
    return std::count_if(shapes.begin(), shapes.end(), [&](const Shape& s) {
      return s.kind == ShapeKind::kLine && s.colour == act && s.width > 4;
    });
  };
  CHECK(strong_lines() == 1);  // the one on the top layer; the bottom one is thin
  const BoardView view(in, kArea);
  const auto on_track = view.hit(view.to_screen({14.3e6, 8e6}));
  REQUIRE(on_track);
  CHECK(on_track->net == 1);
  CHECK_FALSE(view.hit(view.to_screen({9e6, 2e6})));
  const auto in_part = view.hit(view.to_screen({5e6, 6e6}));
  REQUIRE(in_part);
  CHECK(in_part->part == 0);
  CHECK(in_part->land == kNone);
  in.side = Side::kBottom;
  CHECK(strong_lines() == 1);
  in.net = kNone;
  CHECK(strong_lines() == 0);
  const BoardView quiet(in, kArea);
  CHECK_FALSE(quiet.hit(quiet.to_screen({14.3e6, 8e6})));
  // U1 lies on top: nothing of it is under the pointer below.
  CHECK_FALSE(quiet.hit(quiet.to_screen({5e6, 6e6})));
}

TEST_CASE(
    "shapes: area of a hatched ring, a hole by winding, an arc's points on its circle, one outline path") {
  using scene::hatch;
  const auto length = [](const std::vector<scene::Stroke>& strokes) {
    double sum = 0;
    for (const auto& s : strokes) sum += s.to - s.from;
    return sum;
  };
  const std::vector<P> square{{0, 0}, {10, 0}, {10, 10}, {0, 10}};
  CHECK(length(hatch(square, 0.01, 0.005, -5, 15)) * 0.01 == doctest::Approx(100).epsilon(1e-6));
  CHECK(length(hatch(square, 0.01, 0.005, 2, 4)) * 0.01 == doctest::Approx(20).epsilon(1e-3));
  // A ring with a hole, as a fill has it: out along a slit, round the other way, back.
  const std::vector<P> holed{{0, 0}, {10, 0}, {10, 10}, {0, 10}, {0, 0},
                             {2, 2}, {2, 6},  {6, 6},   {6, 2},  {2, 2}};
  CHECK(length(hatch(holed, 0.01, 0.005, -5, 15)) * 0.01 == doctest::Approx(84).epsilon(1e-6));
  // L-shaped, concave; area by the shoelace formula.
  const std::vector<P> bent{{0, 0}, {8, 0}, {8, 2}, {3, 2}, {3, 7}, {0, 7}};
  CHECK(length(hatch(bent, 0.01, 0.005, -5, 15)) * 0.01 == doctest::Approx(31).epsilon(1e-6));

  const Arc arc{{10, 0}, {0, 10}, {-10, 0}, 1, 0, 0};
  const auto points = scene::arc_path(arc);
  CHECK(points.size() >= 30);
  for (const P p : points) {
    CHECK(std::hypot(p.x, p.y) == doctest::Approx(10));
    CHECK(p.y >= -1e-9);
  }
  const auto paths = scene::outline_paths(small_board().outline);
  REQUIRE(paths.size() == 1);
  CHECK(paths.front().size() == 5);
  CHECK(paths.front().front().x == paths.front().back().x);
  CHECK(paths.front().front().y == paths.front().back().y);
}

TEST_CASE("every shape of land holds its middle and its edge, turned or not, and nothing beyond") {
  for (const LandShape shape :
       {LandShape::kCircle, LandShape::kRect, LandShape::kOval, LandShape::kRoundRect}) {
    for (const double angle : {0.0, 90.0, 30.0}) {
      Land land;
      land.at = {3'000'000, -2'000'000};
      land.shape = shape;
      land.width = 1'000'000;
      land.height = shape == LandShape::kCircle ? 1'000'000 : 400'000;
      land.angle = angle;
      const P middle = scene::place_of(land.at);
      const auto along = [&](double x, double y) { return middle + scene::turned_by({x, y}, angle); };
      CHECK(scene::land_holds(land, middle, 0));
      CHECK(scene::land_holds(land, along(499'000, 0), 0));
      CHECK_FALSE(scene::land_holds(land, along(501'000, 0), 0));
      CHECK(scene::land_holds(land, along(501'000, 0), 2'000));
      CHECK(scene::land_holds(land, along(0, static_cast<double>(land.height) / 2 - 1'000), 0));
      CHECK_FALSE(scene::land_holds(land, along(0, static_cast<double>(land.height) / 2 + 1'000), 0));
    }
  }
}

TEST_CASE("a board without any place, and one of a ball list alone, are drawn without harm") {
  for (const bool bare : {true, false}) {
    const auto board = open(bare ? *packages::bare_board(4, 4, 800'000) : Board{});
    BoardInput in;
    in.board = board.get();
    CHECK(drawn(in).size() > 4);
    const BoardView view(in, kArea);
    CHECK_NOTHROW((void)view.hit(view.inner().middle()));
  }
}

TEST_CASE("level of detail: twenty thousand tracks add no shape unless they are asked for") {
  Board board = small_board();
  const auto plain = open(board);
  BoardInput in;
  in.board = plain.get();
  const std::size_t few = drawn(in).size();
  for (int i = 0; i < 20'000; ++i)
    board.tracks.push_back({{i * 900, 1'000'000}, {i * 900 + 500, 2'000'000}, 100'000, 0, 2});
  const auto full = open(board);
  in.board = full.get();
  CHECK(drawn(in).size() == few);
  in.every_track = true;
  CHECK(drawn(in).size() >= few + 20'000);
}
