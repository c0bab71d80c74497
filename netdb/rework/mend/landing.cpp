#include "netdb/rework/mend/landing.hpp"

#include <algorithm>
#include <array>
#include <cctype>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "netdb/rework/copper/path.hpp"
#include "netdb/rework/sites.hpp"

namespace landfall::rework {
namespace {

// Reference prefixes of connectors. Common practice (and IEEE 315's J and P), no more than a ranking hangs on
// it.
bool is_connector(const Part& part) {
  std::string prefix;
  for (const char c : part.reference) {
    if (std::isalpha(static_cast<unsigned char>(c)) == 0) break;
    prefix += static_cast<char>(std::toupper(static_cast<unsigned char>(c)));
  }
  constexpr std::array<std::string_view, 9> kNames{"J", "P", "CN", "CON", "X", "H", "SL", "JP", "XS"};
  return std::find(kNames.begin(), kNames.end(), prefix) != kNames.end();
}

bool reached_from(Side landing, const LandingRules& rules) {
  return landing == Side::kThrough || rules.both_sides || landing == rules.side;
}

bool banned(const LandingRules& rules, Point at) {
  return std::any_of(rules.bans.begin(), rules.bans.end(),
                     [&](const Ban& ban) { return distance(ban.at, at) <= ban.reach; });
}

int outer_layer(const Board& board, Side side) {
  return side == Side::kBottom ? static_cast<int>(board.layers.size()) - 1 : 0;
}

}  // namespace

// Bare surface contacts on both faces of the board and nothing that goes through it: a card edge, or a
// connector that straddles the edge, whose leads are the next best guess. Common practice, no source.
static bool is_card_edge(const BoardIndex& index, Index part) {
  constexpr std::size_t kLeastContacts = 8;
  const auto pins = index.pins_of_part(part);
  if (pins.size() < kLeastContacts) return false;
  std::size_t top = 0;
  std::size_t bottom = 0;
  for (const Index pin : pins) {
    for (const Index l : index.lands_of_pin(pin)) {
      const Land& land = index.board().lands[l];
      if (land.drill > 0 || land.side == Side::kThrough) return false;
      ++(land.side == Side::kTop ? top : bottom);
    }
  }
  // A package's heat land may have a second one on the other face.
  return 4 * std::min(top, bottom) >= top + bottom;
}

LandingKind kind_of_land(const BoardIndex& index, Index part) {
  if (is_test_point(index, part)) return LandingKind::kTestPoint;
  if (is_card_edge(index, part)) return LandingKind::kContact;
  if (is_connector(index.board().parts[part])) return LandingKind::kConnector;
  return index.pins_of_part(part).size() == 2 ? LandingKind::kTerminal : LandingKind::kLead;
}

std::string_view word(LandingKind kind) {
  switch (kind) {
    case LandingKind::kTestPoint:
      return "test point";
    case LandingKind::kConnector:
      return "connector pin";
    case LandingKind::kTerminal:
      return "terminal";
    case LandingKind::kLead:
      return "lead";
    case LandingKind::kContact:
      return "edge contact, kept for its slot if need be";
    case LandingKind::kBall:
      return "ball under its package";
    case LandingKind::kOpenVia:
      return "open via";
    case LandingKind::kTentedVia:
      return "covered via";
    case LandingKind::kConductor:
      return "conductor";
    case LandingKind::kSite:
      return "site";
    case LandingKind::kAdded:
      return "added point";
    case LandingKind::kUnknown:
      return "not known";
  }
  return "";
}

double hardness(LandingKind kind) {
  switch (kind) {
    case LandingKind::kTestPoint:
    case LandingKind::kSite:
    case LandingKind::kAdded:
    case LandingKind::kUnknown:
      return 0;
    case LandingKind::kConnector:
      return 0.5e6;
    case LandingKind::kTerminal:
      return 1e6;
    case LandingKind::kOpenVia:
      return 1.5e6;
    case LandingKind::kLead:
      return 2e6;
    case LandingKind::kTentedVia:
      return 3e6;
    case LandingKind::kConductor:
      return 5e6;
    case LandingKind::kContact:
      return 8e6;
    case LandingKind::kBall:
      return 1e9;
  }
  return 0;
}

std::string landing_text(const BoardIndex& index, const Landing& landing) {
  if (landing.kind == LandingKind::kUnknown) return "a far end that is not known";
  const std::string place = index.place_text(landing.at);
  switch (landing.kind) {
    case LandingKind::kSite:
      return index.pin_text(landing.pin);
    case LandingKind::kTestPoint:
    case LandingKind::kConnector:
    case LandingKind::kTerminal:
    case LandingKind::kLead:
    case LandingKind::kContact:
    case LandingKind::kBall:
      return fmt::format("{} ({})", index.pin_text(landing.pin), word(landing.kind));
    case LandingKind::kOpenVia:
    case LandingKind::kTentedVia:
    case LandingKind::kConductor:
    case LandingKind::kUnknown:
    case LandingKind::kAdded:
      return fmt::format("{} at {}", word(landing.kind), place);
  }
  return place;
}

Shade::Shade(const BoardIndex& index, const std::vector<Index>& lifted)
    : index_(&index), kinds_(index.board().parts.size()) {
  const Board& board = index.board();
  for (std::size_t p = 0; p < board.parts.size(); ++p) {
    const auto part = static_cast<Index>(p);
    arrays_.push_back(is_area_array(index, part) ? 1 : 0);
    if (std::find(lifted.begin(), lifted.end(), part) != lifted.end() || !board.parts[p].fitted ||
        arrays_.back() == 0)
      continue;
    if (const auto body = body_of(index, part)) areas_.push_back({*body, board.parts[p].side});
  }
}

LandingKind Shade::kind_of_land(Index part) const {
  std::optional<LandingKind>& kind = kinds_[part];
  if (!kind) kind = rework::kind_of_land(*index_, part);
  return *kind;
}

bool Shade::hides(Point at, Side side) const {
  return std::any_of(areas_.begin(), areas_.end(), [&](const Area& area) {
    return area.side == side && area.body.reach.meets({at.x, at.y, at.x, at.y});
  });
}

bool Shade::hides_land(Point at, Side side) const {
  return std::any_of(areas_.begin(), areas_.end(), [&](const Area& area) {
    const Box& covered = area.body.told ? area.body.reach : area.body.balls;
    return area.side == side && covered.meets({at.x, at.y, at.x, at.y});
  });
}

std::vector<Landing> landings_of(const BoardIndex& index, const Copper& copper, const NetState& state,
                                 const std::vector<Node>& island, const LandingRules& rules,
                                 const Shade& shade) {
  const Board& board = index.board();
  std::vector<Landing> found;
  const Side other = rules.side == Side::kTop ? Side::kBottom : Side::kTop;
  // The side from which it can be reached; of a through landing the side worked on first, and `kThrough`
  // there.
  const auto open = [&](Point at, Side side, bool land) -> std::optional<Side> {
    const auto hidden = [&](Side from) { return land ? shade.hides_land(at, from) : shade.hides(at, from); };
    if (!reached_from(side, rules) || banned(rules, at)) return std::nullopt;
    if (!hidden(side == Side::kThrough ? rules.side : side)) return side;
    if (side != Side::kThrough || !rules.both_sides || hidden(other)) return std::nullopt;
    return other;
  };
  // A via in a ball's land is that ball's place.
  std::vector<const Piece*> balls;
  for (const Node node : island) {
    const Piece& piece = state.piece(copper, node);
    if (piece.kind != CopperKind::kLand) continue;
    const Land& land = board.lands[piece.item];
    if (land.part != kNone && land.pin != kNone && shade.area_array(land.part)) balls.push_back(&piece);
  }
  const auto in_a_ball = [&](Point at) {
    Shape dot;
    dot.core = {at};
    dot = boxed(dot);
    return std::any_of(balls.begin(), balls.end(), [&](const Piece* ball) {
      return ball->box.meets(dot.box) && gap(ball->shapes.front(), dot) <= 0;
    });
  };
  for (const Node node : island) {
    const Piece& piece = state.piece(copper, node);
    if (piece.kind == CopperKind::kLand) {
      const Land& land = board.lands[piece.item];
      if (land.part == kNone || land.pin == kNone || rules.marked[land.pin] != 0) continue;
      if (shade.area_array(land.part)) continue;
      const auto from = open(land.at, land.side, true);
      if (!from) continue;
      found.push_back({shade.kind_of_land(land.part), land.at, *from, land.pin, piece.item,
                       std::min(land.width, land.height)});
    } else if (piece.kind == CopperKind::kVia) {
      const Via& via = board.vias[piece.item];
      const bool top = via.first == 0;
      const bool bottom = via.last + 1 == static_cast<int>(board.layers.size());
      if (!top && !bottom) continue;
      const Side side = top && bottom ? Side::kThrough : (top ? Side::kTop : Side::kBottom);
      const auto from = open(via.at, side, false);
      if (!from || in_a_ball(via.at)) continue;
      const Side seen = *from == Side::kThrough ? rules.side : *from;
      const Cover cover = seen == Side::kBottom ? via.bottom : via.top;
      found.push_back({cover == Cover::kOpen ? LandingKind::kOpenVia : LandingKind::kTentedVia, via.at, *from,
                       kNone, piece.item, via.diameter});
    }
  }
  std::stable_sort(found.begin(), found.end(),
                   [](const Landing& a, const Landing& b) { return hardness(a.kind) < hardness(b.kind); });
  return found;
}

namespace {

// A place on the pour near `from`, which lies in it: the first step beside it that does too and is open.
template <class Open>
bool place_on_pour(const FillIndex& pour, Point from, Open open, Point& place) {
  constexpr int kAround = 16;
  for (Nm reach = 300'000; reach <= 3'000'000; reach += 300'000) {
    for (int i = 0; i < kAround; ++i) {
      const double angle = 2 * std::numbers::pi * i / kAround;
      const Point p = from + Point{std::llround(static_cast<double>(reach) * std::cos(angle)),
                                   std::llround(static_cast<double>(reach) * std::sin(angle))};
      if (!pour.winds_around(p) || !open(p)) continue;
      place = p;
      return true;
    }
  }
  return false;
}

// The nearest place on the pour's edge.
Point nearest_on_edge(const FillIndex& pour, Point from) {
  const std::vector<Point>& ring = pour.shape().core;
  Point best = ring.front();
  double least = 1e300;
  for (std::size_t i = 0; i < ring.size(); ++i) {
    const Point a = ring[i];
    const Point b = ring[i + 1 < ring.size() ? i + 1 : 0];
    const Foot there = foot(from, a, b);
    if (there.distance >= least) continue;
    least = there.distance;
    best = {a.x + std::llround(there.along * static_cast<double>(b.x - a.x)),
            a.y + std::llround(there.along * static_cast<double>(b.y - a.y))};
  }
  return best;
}

}  // namespace

std::vector<Landing> landings_as_drawn(const BoardIndex& index, const Copper& copper, Index net,
                                       const LandingRules& rules, const Shade& shade) {
  const NetCopper& base = copper.net(net);
  std::vector<Node> nodes(base.pieces.size());
  for (std::size_t i = 0; i < nodes.size(); ++i) nodes[i] = static_cast<Node>(i);
  return landings_of(index, copper, apply_marks(copper, base, {}), nodes, rules, shade);
}

bool spoils_landing(MarkKind kind) {
  return kind != MarkKind::kSound && kind != MarkKind::kMask;
}

bool has_outer_conductor(const Copper& copper, const NetState& state, const std::vector<Node>& island,
                         const LandingRules& rules) {
  const LayerSet layer = layer_bit(outer_layer(copper.board(), rules.side));
  return std::any_of(island.begin(), island.end(), [&](Node node) {
    const Piece& piece = state.piece(copper, node);
    return (piece.layers & layer) != 0 && piece.kind != CopperKind::kLand && piece.kind != CopperKind::kVia;
  });
}

bool nearest_conductor(const Copper& copper, const NetState& state, const std::vector<Node>& island,
                       const LandingRules& rules, const Shade& shade, Point from, Landing& found) {
  const LayerSet layer = layer_bit(outer_layer(copper.board(), rules.side));
  Nm least = kFarthest * 4;
  const auto open = [&](Point p) { return !shade.hides(p, rules.side) && !banned(rules, p); };
  bool any = false;
  for (const Node node : island) {
    const Piece& piece = state.piece(copper, node);
    if ((piece.layers & layer) == 0 || piece.kind == CopperKind::kLand || piece.kind == CopperKind::kVia)
      continue;
    Point place;
    if (piece.fill) {
      if (piece.fill->winds_around(from)) {
        if (!place_on_pour(*piece.fill, from, open, place)) continue;
      } else {
        place = nearest_on_edge(*piece.fill, from);
      }
    } else {
      const Path path(piece.shapes.front().core);
      place = path.place(path.nearest(from));
    }
    if (distance(place, from) >= least || !open(place)) continue;
    least = distance(place, from);
    const Nm width = piece.fill ? 0 : piece.shapes.front().radius * 2;
    found = {LandingKind::kConductor, place, rules.side, kNone, piece.item, width};
    any = true;
  }
  return any;
}

}  // namespace landfall::rework
