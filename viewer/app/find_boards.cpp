#include "viewer/app/find_boards.hpp"

#include <algorithm>
#include <exception>

#include "netdb/join/by_name.hpp"

namespace landfall::app {

Result<std::shared_ptr<const BoardNames>> read_names(store::Bench& bench, const store::BoardInfo& info) {
  const auto reading = bench.reading();
  auto words = bench.board_words(info.id);
  if (!words.ok()) return words.error();
  auto aliases = bench.aliases(info.id);
  if (!aliases.ok()) return aliases.error();
  Board board = join::joined_by_name(std::move(words).value(), *aliases).board;
  return std::make_shared<const BoardNames>(info, std::move(aliases).value(), std::move(board));
}

std::shared_ptr<NamesTask> read_all_names(std::filesystem::path bench_file,
                                          std::vector<store::BoardInfo> wanted,
                                          std::function<void()> on_change) {
  return std::make_shared<NamesTask>(
      [file = std::move(bench_file), wanted = std::move(wanted)](NamesTask::Hand& hand) {
        try {
          auto bench = store::Bench::open(file);
          if (!bench.ok()) return;
          for (const store::BoardInfo& info : wanted) {
            if (hand.stopped()) return;
            auto names = read_names(bench.value(), info);
            if (names.ok()) hand.over(std::move(names).value());
          }
        } catch (const std::exception&) {  // no memory: what was read is searched
        }
      },
      std::move(on_change));
}

std::vector<FarHit> find_on_boards(const NamesByBoard& boards, std::string_view text, std::size_t most,
                                   std::int64_t without, std::size_t& total) {
  total = 0;
  std::vector<FarHit> hits;
  for (const auto& [id, names] : boards) {
    if (id == without) continue;
    std::size_t here = 0;
    for (Hit& hit : names->find().find(text, most, &here)) {
      FarHit far{id, names->info().name, std::move(hit), {}, {}};
      const Board& board = names->board();
      Index pin = kNone;
      if (far.hit.kind == HitKind::kBall || far.hit.kind == HitKind::kFunction) {
        pin = far.hit.item;
        far.pin = names->index().pin_text(pin);
      } else if (far.hit.kind == HitKind::kNet) {
        const auto pins = names->index().pins_of_net(far.hit.item);
        if (!pins.empty()) pin = pins.front();
      }
      if (pin != kNone) {
        far.part = board.parts[board.pins[pin].part].reference;
      } else if (far.hit.kind == HitKind::kPart || far.hit.kind == HitKind::kValue) {
        far.part = board.parts[far.hit.item].reference;
      }
      hits.push_back(std::move(far));
    }
    total += here;
  }
  std::stable_sort(hits.begin(), hits.end(), [](const FarHit& a, const FarHit& b) {
    if (a.hit.rank != b.hit.rank) return a.hit.rank < b.hit.rank;
    return a.hit.kind < b.hit.kind;
  });
  if (hits.size() > most) hits.resize(most);
  return hits;
}

}  // namespace landfall::app
