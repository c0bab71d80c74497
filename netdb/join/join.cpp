#include "netdb/join/join.hpp"

#include <algorithm>
#include <cstdlib>
#include <map>
#include <tuple>
#include <unordered_set>
#include <utility>

#include <fmt/format.h>

#include "netdb/join/names.hpp"
#include "netdb/join/one_chip.hpp"
#include "netdb/join/pairing.hpp"
#include "netdb/model/board_index.hpp"
#include "netdb/model/counted.hpp"

namespace landfall::join {
namespace {

constexpr std::string_view kFoldingFormat = "ipc-d-356";
// IPC-D-356 rounds to 0.0001 inch or 0.001 mm, so equal places may differ by half of that and 1 nm more.
constexpr Nm kSamePlace = 2'600;
constexpr std::size_t kNamed = 5;  // so many names before "and n more"

std::tuple<bool, bool, bool, std::size_t> completeness(const Board& board) {
  return {!board.tracks.empty() || !board.fills.empty(), !board.lands.empty(), !board.nets.empty(),
          board.pins.size()};
}

std::string listed(const std::vector<std::string>& names) {
  std::string text;
  for (std::size_t i = 0; i < names.size() && i < kNamed; ++i) text += (i == 0 ? "" : ", ") + names[i];
  if (names.size() > kNamed) text += fmt::format(" and {} more", names.size() - kNamed);
  return text;
}

std::string net_text(const Board& board, Index net) {
  return net == kNone ? "no net" : board.nets[net].name;
}

// One more source laid over the base.
class Overlay {
 public:
  Overlay(Joined& joined, const Source& base, const Source& other)
      : joined_(joined), base_(base), other_(other), ours_(joined.board), theirs_(other.board) {
    folded_ = base.format == kFoldingFormat || other.format == kFoldingFormat;
    pins_ = shared_pins(ours_, theirs_, folded_);
    nets_ = matched_nets(ours_, theirs_, pins_);
    for (const Net& net : board().nets) names_.insert(net.name);
  }

  void run() {
    // A list of names says nothing of nets.
    if (!other_.board.nets.empty() && !other_.words_only) compare_nets();
    compare_places();
    take_words();
    if (!other_.words_only) take_aliases();
    take_new_parts();
  }

 private:
  Board& board() { return joined_.board; }

  // A net that says no more than its absence would: none, or with this pin alone.
  static bool lonely(const BoardIndex& index, Index net) {
    return net == kNone || index.pins_of_net(net).size() < 2;
  }

  void compare_nets() {
    std::size_t agree = 0;
    for (const PinPair& pair : pins_) {
      const Index a = board().pins[pair.ours].net;
      const Index b = other_.board.pins[pair.theirs].net;
      const bool same = b == kNone || a == kNone ? lonely(ours_, a) && lonely(theirs_, b) : nets_[b] == a;
      if (same) {
        ++agree;
        continue;
      }
      joined_.disagreements.push_back({DisagreementKind::kNet, ours_.pin_text(pair.ours),
                                       fmt::format("{}: {}; {}: {}", base_.file, net_text(board(), a),
                                                   other_.file, net_text(other_.board, b)),
                                       a == kNone ? "" : board().nets[a].name});
    }
    joined_.notes.push_back(fmt::format("{} and {}: {} of {} shared pins are on the same net", base_.file,
                                        other_.file, agree, pins_.size()));
  }

  void compare_places() {
    if (other_.board.lands.empty() || board().lands.empty()) return;
    struct Shift {
      Index pin = kNone;
      Point by;
    };
    std::vector<Shift> shifts;
    for (const PinPair& pair : pins_) {
      const auto ours = ours_.lands_of_pin(pair.ours);
      const auto theirs = theirs_.lands_of_pin(pair.theirs);
      if (ours.size() != 1 || theirs.size() != 1) continue;  // of several lands it is not said which is meant
      const Land& a = board().lands[ours[0]];
      const Land& b = other_.board.lands[theirs[0]];
      // A drilled land may be given by its hole or by its copper.
      const Point place = a.drill > 0 && distance(a.hole, b.at) < distance(a.at, b.at) ? a.hole : a.at;
      shifts.push_back({pair.ours, b.at - place});
    }
    if (shifts.empty()) return;
    // The two files may have different origins: the median shift is that difference.
    std::vector<Nm> xs;
    std::vector<Nm> ys;
    for (const Shift& shift : shifts) {
      xs.push_back(shift.by.x);
      ys.push_back(shift.by.y);
    }
    const auto median = [](std::vector<Nm>& v) {
      const auto middle = v.begin() + static_cast<std::ptrdiff_t>(v.size() / 2);
      std::nth_element(v.begin(), middle, v.end());
      return *middle;
    };
    const Point origin{median(xs), median(ys)};
    if (std::abs(origin.x) > kSamePlace || std::abs(origin.y) > kSamePlace) {
      joined_.notes.push_back(fmt::format("{}: its origin lies {} mm, {} mm from that of {}", other_.file,
                                          mm_text(-origin.x, 3), mm_text(-origin.y, 3), base_.file));
    }
    for (const Shift& shift : shifts) {
      const Point off = shift.by - origin;
      if (std::abs(off.x) <= kSamePlace && std::abs(off.y) <= kSamePlace) continue;
      joined_.disagreements.push_back({DisagreementKind::kPlace, ours_.pin_text(shift.pin),
                                       fmt::format("{} has it {} mm, {} mm from where {} has it", other_.file,
                                                   mm_text(off.x, 3), mm_text(off.y, 3), base_.file),
                                       ""});
    }
  }

  void take_words() {
    for (const PinPair& pair : pins_) {
      Pin& ours = board().pins[pair.ours];
      const Pin& theirs = other_.board.pins[pair.theirs];
      if (ours.function.empty()) {
        ours.function = theirs.function;
      } else if (!theirs.function.empty() && plain_name(ours.function) != plain_name(theirs.function)) {
        take_function(pair, ours, theirs);
      }
      if (ours.type == PinType::kUnknown) ours.type = theirs.type;
      Part& part = board().parts[ours.part];
      const Part& other_part = other_.board.parts[theirs.part];
      if (part.value.empty()) part.value = other_part.value;
      if (part.library.empty()) part.library = other_part.library;
      if (part.footprint.empty()) part.footprint = other_part.footprint;
    }
  }

  void take_function(const PinPair& pair, Pin& ours, const Pin& theirs) {
    // KiCad 10 is reported to write NAME_NUMBER as a board's pin function; the netlist's word is the
    // symbol's.
    if (ours.function == theirs.function + "_" + ours.number) {
      ours.function = theirs.function;
      return;
    }
    if (theirs.function == ours.function + "_" + ours.number) return;
    // A name that only repeats the ball gives way to one that says more.
    if (repeats_ball(theirs.number, theirs.function)) return;
    if (repeats_ball(ours.number, ours.function)) {
      ours.function = theirs.function;
      return;
    }
    if (other_.newest && !other_.contested.contains(ours_.pin_text(pair.ours))) {
      ours.function = theirs.function;
      return;
    }
    if (other_.words_only) return;  // which of the files before said so is not known
    joined_.disagreements.push_back(
        {DisagreementKind::kFunction, ours_.pin_text(pair.ours),
         fmt::format("{}: {}; {}: {}", base_.file, ours.function, other_.file, theirs.function), ""});
  }

  void take_aliases() {
    for (std::size_t i = 0; i < nets_.size(); ++i) {
      if (nets_[i] == kNone) continue;
      Net& ours = board().nets[nets_[i]];
      const Net& theirs = other_.board.nets[i];
      if (same_net_name(ours.name, theirs.name) || theirs.automatic) continue;
      if (is_cut_of(theirs.name, ours.name)) continue;
      const bool better = ours.automatic || is_cut_of(ours.name, theirs.name);
      // Other references to the old name (indexes) are by number, so a better name may take its place.
      if (better && !names_.contains(theirs.name)) {
        if (!ours.automatic) ours.aliases.push_back(ours.name);
        ours.name = theirs.name;
        names_.insert(ours.name);
        ours.automatic = false;
      } else {
        ours.aliases.push_back(theirs.name);
      }
    }
  }

  Index net_for(Index theirs) {
    if (theirs == kNone) return kNone;
    if (nets_[theirs] != kNone) return nets_[theirs];
    Net net = other_.board.nets[theirs];
    for (std::size_t n = 2; names_.contains(net.name); ++n)
      net.name = fmt::format("{}#{}", other_.board.nets[theirs].name, n);
    names_.insert(net.name);
    board().nets.push_back(std::move(net));
    nets_[theirs] = static_cast<Index>(board().nets.size() - 1);
    return nets_[theirs];
  }

  void take_new_parts() {
    std::vector<bool> shared(other_.board.pins.size(), false);
    std::map<Index, Index> part_of;  // theirs -> ours, by a pin that both have
    for (const PinPair& pair : pins_) {
      shared[pair.theirs] = true;
      part_of.emplace(other_.board.pins[pair.theirs].part, board().pins[pair.ours].part);
    }
    // Halves of one chip's list share no pin.
    if (base_parts_ == 1 && other_.board.parts.size() == 1 &&
        board().parts.front().reference == other_.board.parts.front().reference)
      part_of.emplace(0, 0);
    std::vector<std::string> parts;
    std::vector<std::string> pins;
    for (std::size_t i = 0; i < other_.board.pins.size(); ++i) {
      if (shared[i]) continue;
      const Pin& theirs = other_.board.pins[i];
      const Part& part = other_.board.parts[theirs.part];
      const auto known = part_of.find(theirs.part);
      if (known == part_of.end()) {
        Part copy = part;
        copy.placed = false;  // in the other file's frame, without the base's copper: not to be trusted
        part_of.emplace(theirs.part, static_cast<Index>(board().parts.size()));
        board().parts.push_back(std::move(copy));
        parts.push_back(part.reference);
      } else if (known->second < base_parts_) {
        pins.push_back(theirs_.pin_text(static_cast<Index>(i)));
      }
      Pin copy = theirs;
      copy.part = part_of.at(theirs.part);
      copy.net = net_for(theirs.net);
      board().pins.push_back(std::move(copy));
    }
    report_new(parts, pins);
  }

  void report_new(const std::vector<std::string>& parts, const std::vector<std::string>& pins) {
    if (!parts.empty()) {
      joined_.disagreements.push_back({DisagreementKind::kMissing, count_of(parts.size(), "part"),
                                       fmt::format("only in {}: {}", other_.file, listed(parts)), ""});
    }
    if (!pins.empty()) {
      joined_.disagreements.push_back({DisagreementKind::kMissing, count_of(pins.size(), "pin"),
                                       fmt::format("only in {}: {}", other_.file, listed(pins)), ""});
    }
  }

  Joined& joined_;
  const Source& base_;
  const Source& other_;
  BoardIndex ours_, theirs_;
  std::size_t base_parts_ = joined_.board.parts.size();
  bool folded_ = false;
  std::vector<PinPair> pins_;
  std::vector<Index> nets_;
  std::unordered_set<std::string> names_;  // of our nets: the index does not follow what is renamed here
};

}  // namespace

std::string_view word(DisagreementKind kind) {
  switch (kind) {
    case DisagreementKind::kNet:
      return "net";
    case DisagreementKind::kPlace:
      return "place";
    case DisagreementKind::kFunction:
      return "function";
    case DisagreementKind::kMissing:
      return "missing";
  }
  return "";
}

Joined join(std::vector<Source> sources) {
  std::stable_sort(sources.begin(), sources.end(), [](const Source& a, const Source& b) {
    if (a.words_only != b.words_only) return b.words_only;
    return completeness(a.board) > completeness(b.board);
  });
  Joined joined;
  const Source base{sources.front().file, sources.front().format, {}, false, {}, false};
  joined.board = std::move(sources.front().board);
  for (std::size_t i = 1; i < sources.size(); ++i) Overlay(joined, base, sources[i]).run();
  return joined;
}

Agreement agreement(const Board& a, const Board& b, bool folded) {
  const BoardIndex ours(a);
  const BoardIndex theirs(b);
  const std::vector<PinPair> pins = shared_pins(ours, theirs, folded);
  Agreement result;
  result.shared = pins.size();
  std::map<std::pair<Index, Index>, std::size_t> both;
  std::map<Index, std::size_t> of_a;
  std::map<Index, std::size_t> of_b;
  for (const PinPair& pair : pins) {
    const Index na = a.pins[pair.ours].net;
    const Index nb = b.pins[pair.theirs].net;
    ++both[{na, nb}];
    ++of_a[na];
    ++of_b[nb];
  }
  for (const PinPair& pair : pins) {
    const Index na = a.pins[pair.ours].net;
    const Index nb = b.pins[pair.theirs].net;
    if (na == kNone) continue;
    ++result.compared;
    if (nb == kNone) continue;
    const std::size_t common = both[{na, nb}];
    if (common == of_a[na] && common == of_b[nb]) ++result.same_split;
    if (same_net_name(a.nets[na].name, b.nets[nb].name)) {
      ++result.same_name;
    } else if (is_cut_of(b.nets[nb].name, a.nets[na].name)) {
      ++result.cut_name;
    }
  }
  return result;
}

}  // namespace landfall::join
