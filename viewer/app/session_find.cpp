#include <fmt/format.h>

#include "viewer/app/session_inside.hpp"

// Find as you type: on the open board, and on all others of the bench when it is asked for.

namespace landfall::app {
namespace {

constexpr std::size_t kMostHits = 12;
constexpr std::size_t kMostHereWhenWide = 6;  // of the hits here: there must be room for the others

bool is_same(const store::BoardInfo& a, const store::BoardInfo& b) {
  return a.name == b.name && a.imported == b.imported && a.pins == b.pins && a.nets == b.nets;
}

// Has the names of boards read that are not known yet, or are of another state of the board.
void ask_names(Session& s) {
  if (s.reading_names || s.bench_file.empty()) return;
  const auto boards = s.bench->boards();
  if (!boards.ok()) return fail(s, boards.error());
  std::vector<store::BoardInfo> wanted;
  NamesByBoard good;
  for (const store::BoardInfo& info : *boards) {
    if (s.board && info.id == s.board->info().id) continue;
    const auto known = s.names.find(info.id);
    const auto aliases = s.bench->aliases(info.id);
    if (!aliases.ok()) return fail(s, aliases.error());
    if (known != s.names.end() && is_same(known->second->info(), info) &&
        known->second->aliases() == *aliases) {
      good.insert(*known);
    } else {
      wanted.push_back(info);
    }
  }
  s.names = std::move(good);
  if (!wanted.empty()) s.reading_names = read_all_names(s.bench_file, std::move(wanted), s.wake);
}

void find_anew(Session& s) {
  s.hits.clear();
  s.hits_total = 0;
  s.far_hits.clear();
  s.far_total = 0;
  if (s.find_text.empty()) return;
  if (finds_wide(s)) {
    s.far_hits =
        find_on_boards(s.names, s.find_text, kMostHits, s.board ? s.board->info().id : 0, s.far_total);
  }
  if (!s.index) return;
  // The rows here stay where they are while the names of other boards come in.
  const bool others = finds_wide(s) && (s.reading_names || !s.names.empty());
  const std::size_t room = others ? kMostHereWhenWide : kMostHits;
  s.hits = s.index->find(s.find_text, room, &s.hits_total);
  if (s.hits.size() + s.far_hits.size() > kMostHits) s.far_hits.resize(kMostHits - s.hits.size());
}

void go_to_hit(Session& s, const Hit& hit) {
  s.chosen.clear();
  s.bench_page = false;
  if (!s.board_view) leave_pages(s);  // the board shows it as well
  switch (hit.kind) {
    case HitKind::kBall:
    case HitKind::kFunction:
      act(s, SelectPin{hit.item});
      break;
    case HitKind::kNet:
      go_to_net(s, hit.item);
      break;
    case HitKind::kPart:
    case HitKind::kValue:
      go_to(s, Topic{TopicKind::kPart, hit.item});
      break;
  }
  say(s, hit.name);
}

// Opens the hit's board with its part on the map, and goes there by name: numbers of nets may differ there,
// where lists are joined by their names.
void go_far(Session& s, FarHit far) {
  const auto job = s.job ? s.job->id : 0;
  act(s, OpenPart{far.board, far.part});
  if (s.message_is_error || !s.board || s.board->info().id != far.board) return;
  const BoardIndex& index = s.board->index();
  if (!far.pin.empty()) {
    const auto pin = find_pin(*s.board, far.pin);
    if (!pin.ok()) return fail(s, pin.error());
    far.hit.item = *pin;
  } else {
    // A net that was joined with another by name is an alias there.
    const auto net = far.hit.kind == HitKind::kNet ? find_net(*s.board, far.hit.name) : Result<Index>(kNone);
    if (!net.ok()) return fail(s, net.error());
    far.hit.item = far.hit.kind == HitKind::kNet ? *net : index.part(far.part);
    if (far.hit.item == kNone) return;
  }
  go_to_hit(s, far.hit);
  say(s, job == 0 ? fmt::format("{} on {}", far.hit.name, far.board_name)
                  : fmt::format("{} on {}. Job {} was put away: Bench opens it again.", far.hit.name,
                                far.board_name, job));
}

}  // namespace

bool finds_wide(const Session& s) {
  return s.find_wide || !s.board;
}

void take_names(Session& s) {
  if (!s.reading_names) return;
  const bool done = s.reading_names->done();
  auto read = s.reading_names->take();
  for (auto& names : read) {
    const std::int64_t id = names->info().id;
    s.names[id] = std::move(names);
  }
  if (done) s.reading_names.reset();
  if (!read.empty()) find_anew(s);
}

void act(Session& s, const FindText& a) {
  s.find_text = a.text;
  if (!a.text.empty() && finds_wide(s)) ask_names(s);
  find_anew(s);
}

void act(Session& s, const FindWide& a) {
  s.find_wide = a.wide;
  if (finds_wide(s)) ask_names(s);
  find_anew(s);
}

void act(Session& s, const GoToHit& a) {
  if (a.hit >= s.hits.size() + s.far_hits.size()) return;
  if (a.hit < s.hits.size()) {
    const Hit hit = s.hits[a.hit];
    act(s, FindText{});
    go_to_hit(s, hit);
  } else {
    const FarHit far = s.far_hits[a.hit - s.hits.size()];
    act(s, FindText{});
    go_far(s, far);
  }
}

}  // namespace landfall::app
