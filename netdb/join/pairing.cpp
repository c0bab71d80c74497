#include "netdb/join/pairing.hpp"

#include <algorithm>
#include <map>
#include <string>
#include <unordered_map>

#include "netdb/join/names.hpp"

namespace landfall::join {
namespace {

std::string key_of(std::string_view reference, std::string_view number) {
  std::string key(reference);
  key += '\n';
  key += number;
  return key;
}

using Keys = std::unordered_map<std::string, Index>;

Keys keys_of(const Board& board, bool folded) {
  Keys keys;
  keys.reserve(board.pins.size());
  for (std::size_t i = 0; i < board.pins.size(); ++i) {
    const Pin& pin = board.pins[i];
    const std::string& reference = board.parts[pin.part].reference;
    const std::string key =
        folded ? key_of(folded_reference(reference), folded_pin(pin.number)) : key_of(reference, pin.number);
    const auto [entry, fresh] = keys.try_emplace(key, static_cast<Index>(i));
    if (!fresh)
      entry->second = folded ? kNone : entry->second;  // two pins fold into one: not to be told apart
  }
  return keys;
}

}  // namespace

std::vector<PinPair> shared_pins(const BoardIndex& ours, const BoardIndex& theirs, bool folded) {
  const Keys exact = keys_of(ours.board(), false);
  const Keys cut = folded ? keys_of(ours.board(), true) : Keys();
  std::vector<PinPair> pairs;
  for (std::size_t i = 0; i < theirs.board().pins.size(); ++i) {
    const Pin& pin = theirs.board().pins[i];
    const std::string& reference = theirs.board().parts[pin.part].reference;
    auto found = exact.find(key_of(reference, pin.number));
    bool have = found != exact.end();
    if (!have && folded) {
      found = cut.find(key_of(folded_reference(reference), folded_pin(pin.number)));
      have = found != cut.end() && found->second != kNone;
    }
    if (have) pairs.push_back({found->second, static_cast<Index>(i)});
  }
  return pairs;
}

std::vector<Index> matched_nets(const BoardIndex& ours, const BoardIndex& theirs,
                                const std::vector<PinPair>& pins) {
  struct Candidate {
    std::size_t votes = 0;
    bool same_name = false;
    Index ours = kNone, theirs = kNone;
  };
  std::map<std::pair<Index, Index>, std::size_t> votes;
  for (const PinPair& pair : pins) {
    const Index a = ours.board().pins[pair.ours].net;
    const Index b = theirs.board().pins[pair.theirs].net;
    if (a != kNone && b != kNone) ++votes[{a, b}];
  }
  std::vector<Candidate> candidates;
  for (const auto& [nets, count] : votes) {
    const bool same =
        same_net_name(ours.board().nets[nets.first].name, theirs.board().nets[nets.second].name);
    candidates.push_back({count, same, nets.first, nets.second});
  }
  std::stable_sort(candidates.begin(), candidates.end(), [](const Candidate& x, const Candidate& y) {
    return std::pair(x.votes, x.same_name) > std::pair(y.votes, y.same_name);
  });
  std::vector<Index> match(theirs.board().nets.size(), kNone);
  std::vector<bool> taken(ours.board().nets.size(), false);
  for (const Candidate& candidate : candidates) {
    if (match[candidate.theirs] != kNone || taken[candidate.ours]) continue;
    match[candidate.theirs] = candidate.ours;
    taken[candidate.ours] = true;
  }
  return match;
}

}  // namespace landfall::join
