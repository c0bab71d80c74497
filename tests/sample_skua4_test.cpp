// The invented board: its committed files are what the generator writes, agree with one another, and its
// copper, as read back by the importer, joins each net and keeps the nets apart.
#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>
#include <set>

#include <doctest/doctest.h>

#include "netdb/join/join.hpp"
#include "netdb/model/board_index.hpp"
#include "netdb/packages/packages.hpp"
#include "netdb/signals/signals.hpp"
#include "sample-boards/generator/writers.hpp"
#include "tests/support/files.hpp"

using namespace landfall;

namespace {

std::filesystem::path sample_file(const std::string& name) {
  return std::filesystem::path(LANDFALL_SOURCE) / "sample-boards/skua4" / name;
}

constexpr double kClear = 100'000;

// A piece of copper as a thick stroke: tracks, vias (a point) and lands (a point with the smaller half width
// for touching, the larger for clearance).
struct Stroke {
  Point a, b;
  double touch = 0, reach = 0;  // half widths, nm
  LayerSet layers = 0;
  Index net = kNone;
};

double point_to_segment(Point p, Point a, Point b) {
  const auto dx = static_cast<double>(b.x - a.x);
  const auto dy = static_cast<double>(b.y - a.y);
  const double length = dx * dx + dy * dy;
  const double t =
      length == 0
          ? 0
          : std::clamp((static_cast<double>(p.x - a.x) * dx + static_cast<double>(p.y - a.y) * dy) / length,
                       0.0, 1.0);
  return std::hypot(static_cast<double>(p.x - a.x) - t * dx, static_cast<double>(p.y - a.y) - t * dy);
}

double turn(Point a, Point b, Point c) {
  return static_cast<double>(b.x - a.x) * static_cast<double>(c.y - a.y) -
         static_cast<double>(b.y - a.y) * static_cast<double>(c.x - a.x);
}

double segment_distance(const Stroke& s, const Stroke& t) {
  const bool cross =
      turn(s.a, s.b, t.a) * turn(s.a, s.b, t.b) < 0 && turn(t.a, t.b, s.a) * turn(t.a, t.b, s.b) < 0;
  if (cross) return 0;
  return std::min({point_to_segment(s.a, t.a, t.b), point_to_segment(s.b, t.a, t.b),
                   point_to_segment(t.a, s.a, s.b), point_to_segment(t.b, s.a, s.b)});
}

std::vector<Stroke> strokes_of(const Board& board) {
  std::vector<Stroke> strokes;
  for (const Track& t : board.tracks) {
    const double half = static_cast<double>(t.width) / 2;
    strokes.push_back({t.from, t.to, half, half, layer_bit(t.layer), t.net});
  }
  for (const Via& v : board.vias) {
    const double half = static_cast<double>(v.diameter) / 2;
    strokes.push_back(
        {v.at, v.at, half, half, (layer_bit(v.last) - layer_bit(v.first)) | layer_bit(v.last), v.net});
  }
  for (const Land& l : board.lands) {
    const bool round = l.shape == LandShape::kCircle;
    const auto w = static_cast<double>(l.width);
    const auto h = static_cast<double>(l.height);
    // A rectangle is a stroke along its longer side with its shorter as width; its corners reach further.
    const Nm along = (std::max(l.width, l.height) - std::min(l.width, l.height)) / 2;
    const Point offset = l.width > l.height ? Point{along, 0} : Point{0, along};
    const double half = std::min(w, h) / 2;
    strokes.push_back(
        {l.at - offset, l.at + offset, half, round ? half : half * std::sqrt(2.0), l.layers, l.net});
  }
  return strokes;
}

bool inside(const std::vector<Point>& ring, Point p) {
  int winding = 0;
  for (std::size_t i = 0; i < ring.size(); ++i) {
    const Point a = ring[i];
    const Point b = ring[(i + 1) % ring.size()];
    if (a.y <= p.y && b.y > p.y && turn(a, b, p) > 0) ++winding;
    if (a.y > p.y && b.y <= p.y && turn(a, b, p) < 0) --winding;
  }
  return winding != 0;
}

class Sets {
 public:
  explicit Sets(std::size_t n) : parent_(n) { std::iota(parent_.begin(), parent_.end(), std::size_t{0}); }
  std::size_t find(std::size_t i) {
    while (parent_[i] != i) i = parent_[i] = parent_[parent_[i]];
    return i;
  }
  void join(std::size_t a, std::size_t b) { parent_[find(a)] = find(b); }

 private:
  std::vector<std::size_t> parent_;
};

struct Faults {
  std::set<std::string> split, near;
};

// Every pair of strokes that share a layer and a cell of 2 mm.
template <class Visit>
void neighbours(const std::vector<Stroke>& strokes, Visit visit) {
  constexpr Nm kCell = 2'000'000;
  std::map<std::pair<Nm, Nm>, std::vector<std::size_t>> cells;
  for (std::size_t i = 0; i < strokes.size(); ++i) {
    const auto [x1, x2] = std::minmax(strokes[i].a.x, strokes[i].b.x);
    const auto [y1, y2] = std::minmax(strokes[i].a.y, strokes[i].b.y);
    const auto margin = static_cast<Nm>(strokes[i].reach + kClear);
    const auto cell = [](Nm v) { return v >= 0 ? v / kCell : -((-v) / kCell) - 1; };
    for (Nm x = cell(x1 - margin); x <= cell(x2 + margin); ++x) {
      for (Nm y = cell(y1 - margin); y <= cell(y2 + margin); ++y) cells[{x, y}].push_back(i);
    }
  }
  for (const auto& [cell, members] : cells) {
    for (std::size_t i = 0; i < members.size(); ++i) {
      for (std::size_t j = i + 1; j < members.size(); ++j) {
        if ((strokes[members[i]].layers & strokes[members[j]].layers) != 0) visit(members[i], members[j]);
      }
    }
  }
}

Faults copper_faults(const Board& board) {
  const std::vector<Stroke> strokes = strokes_of(board);
  Sets sets(strokes.size() + board.fills.size());
  Faults faults;
  const auto name = [&](Index net) { return net == kNone ? std::string("no net") : board.nets[net].name; };
  neighbours(strokes, [&](std::size_t i, std::size_t j) {
    const Stroke& s = strokes[i];
    const Stroke& t = strokes[j];
    const double distance = segment_distance(s, t);
    if (s.net == t.net && s.net != kNone) {
      if (distance <= s.touch + t.touch) sets.join(i, j);
    } else if (distance < s.touch + t.touch + kClear - 1 && distance < s.reach + t.reach + kClear - 1) {
      faults.near.insert(name(s.net) + " / " + name(t.net));
    }
  });
  for (std::size_t f = 0; f < board.fills.size(); ++f) {
    const Fill& fill = board.fills[f];
    for (std::size_t i = 0; i < strokes.size(); ++i) {
      if ((strokes[i].layers & layer_bit(fill.layer)) == 0) continue;
      const bool in = inside(fill.ring, strokes[i].a);
      if (strokes[i].net == fill.net && in) sets.join(i, strokes.size() + f);
      if (strokes[i].net == fill.net) continue;
      double least = 1e18;
      for (std::size_t k = 0; k < fill.ring.size(); ++k) {
        least = std::min(least,
                         point_to_segment(strokes[i].a, fill.ring[k], fill.ring[(k + 1) % fill.ring.size()]));
      }
      if (in || least < strokes[i].touch + kClear - 1)
        faults.near.insert(name(strokes[i].net) + " / plane " + name(fill.net));
    }
  }
  std::map<Index, std::size_t> piece;
  for (std::size_t i = 0; i < strokes.size(); ++i) {
    if (strokes[i].net == kNone) continue;
    const auto [entry, fresh] = piece.try_emplace(strokes[i].net, sets.find(i));
    if (!fresh && entry->second != sets.find(i)) faults.split.insert(name(strokes[i].net));
  }
  return faults;
}

}  // namespace

TEST_CASE("the generator writes the same bytes as the committed files") {
  const auto files = sample::skua4_files();
  REQUIRE(files.size() == 4);
  for (const auto& file : files) {
    INFO(file.first);
    CHECK(file.second == testing::read_file(sample_file(file.first)));
  }
}

TEST_CASE("board, netlist and test netlist agree on every pin") {
  const auto board = testing::open_design(sample_file("skua4.kicad_pcb"));
  const auto netlist = testing::open_design(sample_file("skua4.net"));
  const auto test = testing::open_design(sample_file("skua4.ipc"));
  CHECK(board.board.pins.size() == netlist.board.pins.size());
  CHECK(board.board.pins.size() == test.board.pins.size());
  for (const auto* other : {&netlist, &test}) {
    const auto agreement = join::agreement(board.board, other->board, other == &test);
    CHECK(agreement.shared == board.board.pins.size());
    CHECK(agreement.same_split == agreement.compared);
    CHECK(agreement.same_name == agreement.compared);
  }
  CHECK(join::join({{"a", board.format, board.board},
                    {"b", netlist.format, netlist.board},
                    {"c", test.format, test.board}})
            .disagreements.empty());
  CHECK(board.board.vias.size() == test.board.vias.size());
  CHECK(board.board.holes.size() == 4);
}

TEST_CASE("every net is one piece of copper and no two come nearer than 0.1 mm") {
  const Faults faults = copper_faults(testing::open_design(sample_file("skua4.kicad_pcb")).board);
  CHECK(faults.split == std::set<std::string>());
  CHECK(faults.near == std::set<std::string>());
}

TEST_CASE("the copper check sees a cut track and a short") {
  Board board = testing::open_design(sample_file("skua4.kicad_pcb")).board;
  Board cut = board;
  const auto longest = std::max_element(
      cut.tracks.begin(), cut.tracks.end(),
      [](const Track& a, const Track& b) { return distance(a.from, a.to) < distance(b.from, b.to); });
  const std::string name = cut.nets[longest->net].name;
  cut.tracks.erase(longest);
  CHECK(copper_faults(cut).split.contains(name));
  board.tracks.push_back({board.vias.front().at, board.vias.back().at, 100'000, 2, board.vias.front().net});
  CHECK_FALSE(copper_faults(board).near.empty());
}

TEST_CASE("grids come out clean, and two memory channels of 16 data lines and two lanes each are found") {
  const Board board = testing::open_board({sample_file("skua4.kicad_pcb"), sample_file("skua4.net")});
  const BoardIndex index(board);
  for (const auto& [reference, balls] :
       {std::pair<const char*, std::size_t>{"U1", 420}, {"U2", 96}, {"U3", 96}}) {
    const Package package = packages::package_of(index, index.part(reference));
    CHECK(package.kind == PackageKind::kAreaArray);
    CHECK(package.sites.size() == balls);
    CHECK(package.disagreements.empty());
    CHECK(package.pitch_x == 800'000);
  }
  const Signals signals = signals::analyse(index, {});
  for (const char* name : {"RAM0", "RAM1"}) {
    const auto channel = std::find_if(signals.channels.begin(), signals.channels.end(),
                                      [&](const Channel& c) { return c.name == name; });
    REQUIRE(channel != signals.channels.end());
    CHECK(channel->what == "DDR3 memory, 16 data lines");
  }
  std::map<std::string, std::size_t> lane_nets;
  for (const NetSignal& signal : signals.nets) {
    if (signal.lane != kNone && signals.lanes[signal.lane].name.starts_with("RAM"))
      ++lane_nets[signals.lanes[signal.lane].name];
  }
  // Eight data lines, a mask and a strobe pair: TRADE.md T12.
  CHECK(lane_nets == std::map<std::string, std::size_t>{
                         {"RAM0 lane 0", 11}, {"RAM0 lane 1", 11}, {"RAM1 lane 0", 11}, {"RAM1 lane 1", 11}});
}
