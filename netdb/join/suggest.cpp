#include "netdb/join/suggest.hpp"

#include <algorithm>
#include <map>
#include <set>
#include <tuple>
#include <utility>

#include <fmt/format.h>

#include "netdb/join/by_name.hpp"
#include "netdb/join/name_spaces.hpp"
#include "netdb/join/signal_name.hpp"

namespace landfall::join {
namespace {

constexpr double kOtherFits = 0.5;    // of the best support: still worth a line
constexpr double kNotOfMemory = 0.6;  // a stem that no standard knows
// Bits within a byte, and whole bytes, are swapped on most boards with memories soldered down (TRADE T18): a
// match by index is right for the bus and rarely for the one line.
constexpr double kSwapped = 0.3;
// An interface with so many kinds of signals matches by half of its kinds or not at all: a display's D0 to
// D15 are no memory's.
constexpr std::size_t kManyKinds = 5;
constexpr std::size_t kLeastOther = 2;  // names, so that one chance word proposes nothing

using Key = std::pair<int, int>;  // index, polarity

struct Family {
  std::string prefix, kind;
  bool memory = false;
  std::map<Key, std::string> names;
};

using Families = std::vector<Family>;

// Where no name has the index 0, one without an index is it ("CK" and "CK0").
void settle(Family& family) {
  for (const int polarity : {-1, 0, 1}) {
    const auto bare = family.names.find({-1, polarity});
    if (bare == family.names.end() || family.names.count({0, polarity})) continue;
    family.names.emplace(Key{0, polarity}, bare->second);
    family.names.erase({-1, polarity});
  }
}

Families families_of(const NameSpace& space) {
  std::map<std::pair<std::string, std::string>, Family> found;
  for (const auto& entry : space.names) {
    const std::string& name = entry.second.name;
    const auto roles = signal_roles(name);
    for (const SignalRole& role : roles) {
      Family& family = found[{role.prefix, role.kind}];
      family.prefix = role.prefix;
      family.kind = role.kind;
      family.memory = role.memory;
      family.names.emplace(Key{role.index, role.polarity}, name);
    }
  }
  Families families;
  for (auto& entry : found) {
    settle(entry.second);
    families.push_back(std::move(entry.second));
  }
  return families;
}

std::string pattern_of(const Family& family) {
  const std::string& first = family.names.begin()->second;
  if (family.names.size() == 1) return first;
  std::size_t cut = first.size();
  for (const auto& entry : family.names) {
    std::size_t same = 0;
    while (same < cut && same < entry.second.size() && entry.second[same] == first[same]) ++same;
    cut = same;
  }
  while (cut > 0 && first[cut - 1] >= '0' && first[cut - 1] <= '9') --cut;
  return first.substr(0, cut) + "*";
}

struct Match {
  const Family* a = nullptr;
  const Family* b = nullptr;
  std::size_t common = 0;
};

std::size_t common_names(const Family& a, const Family& b) {
  std::size_t common = 0;
  for (const auto& entry : b.names) common += a.names.count(entry.first);
  return common;
}

struct Side {
  std::size_t a = 0, b = 0;  // spaces
  std::string prefix_a, prefix_b;
  std::vector<Match> matches;
  std::size_t support = 0;
};

std::vector<Side> sides_of(const std::vector<NameSpace>& spaces, const std::vector<Families>& families) {
  std::vector<Side> sides;
  for (std::size_t a = 0; a < spaces.size(); ++a) {
    for (std::size_t b = a + 1; b < spaces.size(); ++b) {
      std::map<std::pair<std::string, std::string>, Side> by_prefix;
      for (const Family& x : families[a]) {
        for (const Family& y : families[b]) {
          if (x.kind != y.kind) continue;
          const std::size_t common = common_names(x, y);
          if (common == 0) continue;
          Side& side = by_prefix[{x.prefix, y.prefix}];
          side.a = a;
          side.b = b;
          side.prefix_a = x.prefix;
          side.prefix_b = y.prefix;
          side.matches.push_back({&x, &y, common});
          side.support += common;
        }
      }
      for (auto& entry : by_prefix) {
        const Side& side = entry.second;
        const auto kinds = static_cast<std::size_t>(
            std::count_if(families[b].begin(), families[b].end(),
                          [&](const Family& y) { return y.memory && y.prefix == side.prefix_b; }));
        const auto matched = static_cast<std::size_t>(std::count_if(
            side.matches.begin(), side.matches.end(), [](const Match& m) { return m.b->memory; }));
        if (kinds >= kManyKinds && matched * 2 < kinds) continue;
        if (side.support >= kLeastOther) sides.push_back(std::move(entry.second));
      }
    }
  }
  return sides;
}

std::string shown(const NameSpace& space, const std::string& pattern) {
  return (space.reference.empty() ? "the board's " : space.reference + "'s ") + pattern;
}

class Suggester {
 public:
  Suggester(const Board& board, const std::vector<NameAlias>& aliases)
      : index_(board), spaces_(name_spaces(index_)) {
    const JoinedByName joined = joined_by_name(board, aliases);
    for (std::size_t p = 0; p < board.pins.size(); ++p) {
      if (board.pins[p].net != kNone) now_[board.pins[p].net] = joined.board.pins[p].net;
    }
    for (const NameSpace& space : spaces_) families_.push_back(families_of(space));
    sides_ = sides_of(spaces_, families_);
  }

  std::vector<NameGroup> run() {
    std::map<std::tuple<std::size_t, std::size_t, std::string>, std::size_t> best;
    for (const Side& side : sides_) {
      std::size_t& most = best[{side.a, side.b, side.prefix_b}];
      most = std::max(most, side.support);
    }
    std::vector<NameGroup> groups;
    for (const Side& side : sides_) {
      const std::size_t most = best[{side.a, side.b, side.prefix_b}];
      if (static_cast<double>(side.support) < kOtherFits * static_cast<double>(most)) continue;
      for (const Match& match : side.matches) add(groups, side, match, most);
    }
    std::stable_sort(groups.begin(), groups.end(), [](const NameGroup& x, const NameGroup& y) {
      return x.score != y.score ? x.score > y.score : x.pairs.size() > y.pairs.size();
    });
    return groups;
  }

 private:
  Index net_of(std::size_t space, const std::string& name) const {
    const auto net = now_.find(spaces_[space].names.at(name_key(name)).net);
    return net == now_.end() ? kNone : net->second;
  }

  void add(std::vector<NameGroup>& groups, const Side& side, const Match& match, std::size_t most) const {
    NameGroup group;
    std::size_t known = 0;
    for (const auto& entry : match.b->names) {
      const auto other = match.a->names.find(entry.first);
      if (other == match.a->names.end()) continue;
      const bool joined = net_of(side.a, other->second) == net_of(side.b, entry.second);
      known += joined ? 1 : 0;
      if (!joined) group.pairs.push_back({other->second, entry.second});
    }
    if (group.pairs.empty()) return;
    group.part = spaces_[side.a].reference;
    group.to_part = spaces_[side.b].reference;
    group.pattern = pattern_of(*match.a);
    group.to_pattern = pattern_of(*match.b);
    group.kind = match.a->kind;
    group.of = std::max(match.a->names.size(), match.b->names.size());
    group.score = static_cast<double>(match.common) / static_cast<double>(group.of);
    group.score *= static_cast<double>(side.support) / static_cast<double>(most);
    if (!match.a->memory) group.score *= kNotOfMemory;
    const bool may_be_swapped =
        match.a->kind == "data" || match.a->kind == "strobe" || match.a->kind == "mask";
    if (may_be_swapped) group.score *= kSwapped;
    group.reason = fmt::format("{} of {} by {}{}{}; {} names of these two families fit in all", match.common,
                               group.of, match.a->memory ? "kind (" + match.a->kind + ")" : "stem",
                               match.common > 1 ? " and index" : "",
                               known > 0 ? fmt::format(", {} joined already", known) : "", side.support);
    if (may_be_swapped)
      group.reason += "; boards swap bits and bytes, so beep some through before you rely on single lines";
    add_conflicts(group, side, match);
    if (!group.conflicts.empty()) group.score /= static_cast<double>(group.conflicts.size() + 1);
    groups.push_back(std::move(group));
  }

  // Another family of the first part for the same names, or another part that would have these.
  void add_conflicts(NameGroup& group, const Side& side, const Match& match) const {
    for (const Side& other : sides_) {
      if (&other == &side) continue;
      if (static_cast<double>(other.support) < kOtherFits * static_cast<double>(side.support)) continue;
      for (const Match& m : other.matches) {
        if (m.b == match.b && other.a == side.a)
          group.conflicts.push_back(fmt::format("{} fits {} as well",
                                                shown(spaces_[other.a], pattern_of(*m.a)),
                                                shown(spaces_[side.b], group.to_pattern)));
        if (m.a == match.a && m.b != match.b && (other.b != side.b || other.prefix_b != side.prefix_b))
          group.conflicts.push_back(fmt::format("{} fits {} as well", shown(spaces_[side.a], group.pattern),
                                                shown(spaces_[other.b], pattern_of(*m.b))));
      }
    }
  }

  BoardIndex index_;
  std::vector<NameSpace> spaces_;
  std::vector<Families> families_;
  std::vector<Side> sides_;
  std::map<Index, Index> now_;  // stored net -> net after joining
};

}  // namespace

std::vector<NameGroup> suggestions(const Board& board, const std::vector<NameAlias>& aliases) {
  return Suggester(board, aliases).run();
}

}  // namespace landfall::join
