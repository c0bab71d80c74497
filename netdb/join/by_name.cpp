#include "netdb/join/by_name.hpp"

#include <algorithm>
#include <map>
#include <numeric>
#include <set>
#include <unordered_map>
#include <unordered_set>

#include <fmt/format.h>

#include "netdb/join/name_spaces.hpp"
#include "netdb/join/signal_name.hpp"

namespace landfall::join {
namespace {

// Two parts are alike (two memories of one kind) when so many of the larger one's signals are the other's.
constexpr double kAlike = 0.8;
// A netlist may have a lone pin with its own name; a list has more.
constexpr std::size_t kLeastNamed = 4;

class Joiner {
 public:
  explicit Joiner(Board board) : board_(std::move(board)), index_(board_), spaces_(name_spaces(index_)) {
    root_.resize(board_.nets.size());
    std::iota(root_.begin(), root_.end(), Index{0});
  }

  JoinedByName run(const std::vector<NameAlias>& aliases) {
    for (const NameAlias& alias : aliases) take(alias);
    take_equal_names();
    return finish();
  }

 private:
  Index find(Index net) {
    while (root_[net] != net) net = root_[net] = root_[root_[net]];
    return net;
  }

  static std::string whose(const NameSpace& space, const std::string& name) {
    return space.reference.empty() ? "the board's " + name : space.reference + "'s " + name;
  }

  // The board's own net stays, else the earlier part's.
  void unite(const SpaceName& a, const NameSpace& of_a, const SpaceName& b, const NameSpace& of_b,
             const std::string& from) {
    const Index x = find(a.net);
    const Index y = find(b.net);
    if (x == y) return;
    const bool keep_x = of_a.reference.empty() || (!of_b.reference.empty() && x < y);
    root_[keep_x ? y : x] = keep_x ? x : y;
    links_.push_back({a.net, {"", fmt::format("{} is {}", whose(of_a, a.name), whose(of_b, b.name)), from}});
  }

  void take(const NameAlias& alias) {
    const std::string a = name_key(alias.name);
    const std::string b = name_key(alias.to_name);
    for (const NameSpace& of_a : spaces_) {
      if (!alias.part.empty() && alias.part != of_a.reference) continue;
      const auto left = of_a.names.find(a);
      if (left == of_a.names.end()) continue;
      for (const NameSpace& of_b : spaces_) {
        if (&of_a == &of_b || (!alias.to_part.empty() && alias.to_part != of_b.reference)) continue;
        const auto right = of_b.names.find(b);
        if (right != of_b.names.end())
          unite(left->second, of_a, right->second, of_b, "accepted: " + alias.why);
      }
    }
  }

  [[nodiscard]] bool alike(const NameSpace& a, const NameSpace& b) const {
    if (a.reference.empty() || b.reference.empty()) return false;
    std::size_t common = 0;
    std::size_t of_a = 0;
    std::size_t of_b = 0;
    for (const auto& entry : a.names) {
      if (names_supply(entry.second.name)) continue;
      ++of_a;
      common += b.names.count(entry.first);
    }
    for (const auto& entry : b.names) of_b += names_supply(entry.second.name) ? 0U : 1U;
    return static_cast<double>(common) >= kAlike * static_cast<double>(std::max(of_a, of_b));
  }

  void take_equal_names() {
    std::map<std::pair<std::size_t, std::size_t>, bool> like;
    std::map<std::string, std::vector<std::size_t>> holders;
    for (std::size_t i = 0; i < spaces_.size(); ++i) {
      for (const auto& entry : spaces_[i].names) holders[entry.first].push_back(i);
    }
    for (const auto& [key, who] : holders) {
      if (who.size() < 2) continue;
      const SpaceName& first = spaces_[who[0]].names.at(key);
      if (names_supply(first.name)) continue;
      std::set<Index> nets;
      for (const std::size_t i : who) nets.insert(find(spaces_[i].names.at(key).net));
      if (nets.size() < 2) continue;
      const auto pair = std::pair{who[0], who[1]};
      if (!like.count(pair)) like[pair] = alike(spaces_[who[0]], spaces_[who[1]]);
      if (who.size() == 2 && !like[pair]) {
        unite(first, spaces_[who[0]], spaces_[who[1]].names.at(key), spaces_[who[1]], "equal names");
        continue;
      }
      std::string names;
      for (const std::size_t i : who)
        names += (names.empty() ? "" : ", ") + whose(spaces_[i], spaces_[i].names.at(key).name);
      conflicts_.push_back(
          {first.name, fmt::format("{}: not joined, since {}", names,
                                   who.size() == 2 ? "both parts have the same names all over"
                                                   : "more than two have the name")});
    }
  }

  JoinedByName finish() {
    JoinedByName joined;
    std::vector<Index> place(board_.nets.size(), kNone);
    std::vector<Net> nets;
    for (Index i = 0; i < board_.nets.size(); ++i) {
      if (find(i) != i) continue;
      place[i] = static_cast<Index>(nets.size());
      nets.push_back(board_.nets[i]);
    }
    for (Index i = 0; i < board_.nets.size(); ++i) {
      if (find(i) == i) continue;
      place[i] = place[find(i)];
      nets[place[i]].aliases.push_back(board_.nets[i].name);
    }
    for (Link& link : links_) {
      link.join.net = nets[place[link.net]].name;
      joined.joins.push_back(std::move(link.join));
    }
    joined.conflicts = std::move(conflicts_);
    const auto move_all = [&](auto& things) {
      for (auto& thing : things) thing.net = thing.net == kNone ? kNone : place[thing.net];
    };
    board_.nets = std::move(nets);
    move_all(board_.pins);
    move_all(board_.lands);
    move_all(board_.tracks);
    move_all(board_.arcs);
    move_all(board_.vias);
    move_all(board_.fills);
    move_all(board_.zones);
    joined.board = std::move(board_);
    return joined;
  }

  struct Link {
    Index net = kNone;
    NameJoin join;
  };
  Board board_;
  BoardIndex index_;
  std::vector<NameSpace> spaces_;
  std::vector<Index> root_;
  std::vector<Link> links_;
  std::vector<NameConflict> conflicts_;
};

}  // namespace

std::vector<Index> list_parts(const BoardIndex& index) {
  const Board& board = index.board();
  std::vector<bool> has_lands(board.parts.size(), false);
  for (const Land& land : board.lands) {
    if (land.part != kNone) has_lands[land.part] = true;
  }
  std::vector<Index> found;
  for (Index part = 0; part < board.parts.size(); ++part) {
    if (has_lands[part] && !board.layers.empty()) continue;
    std::size_t named = 0;
    bool alone = true;
    for (const Index p : index.pins_of_part(part)) {
      const Pin& pin = board.pins[p];
      if (pin.net == kNone) continue;
      ++named;
      const std::string& net = board.nets[pin.net].name;
      const std::string_view own = pin.function;
      alone = alone && !own.empty() &&
              (net == own || net == board.parts[part].reference + "/" + pin.function) &&
              board.pins[index.pins_of_net(pin.net).front()].part == part &&
              board.pins[index.pins_of_net(pin.net).back()].part == part;
      if (!alone) break;
    }
    if (alone && named >= kLeastNamed) found.push_back(part);
  }
  return found;
}

std::vector<NameSpace> name_spaces(const BoardIndex& index) {
  const Board& board = index.board();
  std::vector<NameSpace> spaces;
  std::vector<bool> listed(board.nets.size(), false);
  for (const Index part : list_parts(index)) {
    NameSpace space;
    space.reference = board.parts[part].reference;
    for (const Index p : index.pins_of_part(part)) {
      const Pin& pin = board.pins[p];
      if (pin.net == kNone) continue;
      listed[pin.net] = true;
      space.names.try_emplace(name_key(pin.function), SpaceName{pin.function, pin.net});
    }
    spaces.push_back(std::move(space));
  }
  NameSpace own;
  for (Index net = 0; net < board.nets.size(); ++net) {
    if (listed[net] || board.nets[net].automatic) continue;
    const std::string name(leaf_name(board.nets[net].name));
    own.names.try_emplace(name_key(name), SpaceName{name, net});
  }
  if (!own.names.empty() && !spaces.empty()) spaces.insert(spaces.begin(), std::move(own));
  return spaces;
}

Status add_list_part(Board& board, const Board& list, const std::string& reference) {
  if (reference.empty()) return Error{ErrorCode::kUsage, "the part needs a reference, such as J1"};
  if (list.parts.size() != 1) return Error{ErrorCode::kInput, "the list is not of one part"};
  for (const Part& part : board.parts) {
    if (part.reference == reference)
      return Error{ErrorCode::kUsage, fmt::format("there is a part {} on the board already", reference)};
  }
  std::unordered_set<std::string> taken;
  for (const Net& net : board.nets) taken.insert(net.name);
  Part part = list.parts.front();
  part.reference = reference;
  part.placed = false;
  const auto at = static_cast<Index>(board.parts.size());
  board.parts.push_back(std::move(part));
  const auto first_net = static_cast<Index>(board.nets.size());
  for (Net net : list.nets) {
    if (taken.contains(net.name)) net.name = reference + "/" + net.name;
    for (std::size_t n = 2; taken.contains(net.name); ++n) net.name += fmt::format("#{}", n);
    taken.insert(net.name);
    board.nets.push_back(std::move(net));
  }
  for (Pin pin : list.pins) {
    pin.part = at;
    if (pin.net != kNone) pin.net += first_net;
    board.pins.push_back(std::move(pin));
  }
  return std::monostate{};
}

Fit fitting_part(const BoardIndex& index, const Board& list) {
  std::unordered_set<std::string_view> numbers;
  for (const Pin& pin : list.pins) numbers.insert(pin.number);
  Fit fit;
  for (Index part = 0; part < index.board().parts.size(); ++part) {
    const auto pins = index.pins_of_part(part);
    std::size_t shared = 0;
    for (const Index pin : pins) shared += numbers.count(index.board().pins[pin].number);
    // Small parts (a resistor's 1 and 2) fit anything.
    if (shared < 8 || shared * 10 < pins.size() * 9 || shared * 10 < numbers.size() * 9) continue;
    if (fit.part != kNone || !fit.several.empty()) {
      if (fit.part != kNone) fit.several.push_back(index.board().parts[fit.part].reference);
      fit.several.push_back(index.board().parts[part].reference);
      fit.part = kNone;
      continue;
    }
    fit.part = part;
    fit.shared = shared;
  }
  return fit;
}

JoinedByName joined_by_name(Board board, const std::vector<NameAlias>& aliases) {
  {
    const BoardIndex index(board);
    if (list_parts(index).empty()) return {std::move(board), {}, {}};
  }
  return Joiner(std::move(board)).run(aliases);
}

}  // namespace landfall::join
