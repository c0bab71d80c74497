#include "viewer/app/find_board.hpp"

#include "netdb/signals/signals.hpp"
#include "viewer/app/find_boards.hpp"

namespace landfall::app {

Result<FoundOnBoard> find_on_board(store::Bench& bench, std::int64_t id, std::string_view text,
                                   std::size_t most, bool classes) {
  const auto reading = bench.reading();
  auto info = bench.board_info(id);
  if (!info.ok()) return info.error();
  const auto names = read_names(bench, *info);
  if (!names.ok()) return names.error();
  const Board& board = (*names)->board();
  const BoardIndex& index = (*names)->index();
  FoundOnBoard found;
  const std::vector<Hit> hits = (*names)->find().find(text, most, &found.total);
  if (hits.empty()) return found;
  Signals signals;
  if (classes) {
    const auto rules = bench.rules(id);
    if (!rules.ok()) return rules.error();
    signals = signals::analyse(index, *rules);
  }
  for (const Hit& hit : hits) {
    FoundThing thing;
    thing.kind = hit.kind;
    thing.name = hit.name;
    Index net = hit.kind == HitKind::kNet ? hit.item : kNone;
    if (hit.kind == HitKind::kBall || hit.kind == HitKind::kFunction) {
      net = board.pins[hit.item].net;
      thing.where = index.pin_text(hit.item);
    } else if (hit.kind == HitKind::kPart || hit.kind == HitKind::kValue) {
      thing.where = board.parts[hit.item].reference;
    }
    thing.on_net = net != kNone;
    if (thing.on_net) {
      thing.net = board.nets[net].name;
      if (classes) thing.signal_class = signals.nets[net].signal_class;
    }
    found.things.push_back(std::move(thing));
  }
  return found;
}

}  // namespace landfall::app
