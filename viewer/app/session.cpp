#include "viewer/app/session.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "netdb/packages/packages.hpp"
#include "viewer/app/facts.hpp"

namespace landfall::app {
namespace {

constexpr std::size_t kMostHits = 12;
constexpr int kThemes = 3;

class Applier {
 public:
  explicit Applier(Session& session) : s_(session) {}

  void operator()(const SelectPin& a) {
    s_.selected = a.pin;
    describe();
  }

  void operator()(const MarkPin& a) {
    if (!s_.job) return fail({ErrorCode::kUsage, "No job. Marks need one."});
    if (a.pin == kNone)
      return fail({ErrorCode::kUsage, "No ball is selected. Click one, then press 0 to 6."});
    const Pin& pin = s_.board->board().pins[a.pin];
    const std::string& part = s_.board->board().parts[pin.part].reference;
    const bool lifted = std::find(s_.job->lifted.begin(), s_.job->lifted.end(), part) != s_.job->lifted.end();
    if (!lifted) return fail({ErrorCode::kUsage, part + " is not among the parts that this job lifted."});
    const std::string words = fmt::format("{}.{} {}", part, pin.number, a.kind ? word(*a.kind) : "off");
    const std::string now = now_utc();
    const auto kept = s_.bench->record(s_.job->id, words, {{part, pin.number, a.kind, std::nullopt}}, now);
    if (!kept.ok()) return fail(kept.error());
    reload(words + ". Undo with Ctrl+Z.");
  }

  void operator()(const Undo&) { step(false); }
  void operator()(const Redo&) { step(true); }

  void operator()(const FindText& a) {
    s_.find_text = a.text;
    s_.hits.clear();
    s_.hits_total = 0;
    if (s_.index && !a.text.empty()) s_.hits = s_.index->find(a.text, kMostHits, &s_.hits_total);
  }

  void operator()(const GoToHit& a) {
    if (a.hit >= s_.hits.size()) return;
    const Hit hit = s_.hits[a.hit];
    (*this)(FindText{});
    const Board& board = s_.board->board();
    Index pin = kNone;
    if (hit.kind == HitKind::kBall || hit.kind == HitKind::kFunction) pin = hit.item;
    if (hit.kind == HitKind::kNet) pin = pin_of_net(hit.item);
    if (hit.kind == HitKind::kPart || hit.kind == HitKind::kValue) {
      const auto pins = s_.board->index().pins_of_part(hit.item);
      if (!pins.empty()) pin = pins.front();
    }
    if (pin == kNone) return fail({ErrorCode::kNotFound, hit.name + " has no pin to show."});
    if (board.pins[pin].part != s_.package.part) show_part(board.pins[pin].part);
    (*this)(SelectPin{pin});
    say(hit.name);
  }

  void operator()(const OpenJob& a) {
    const auto job = s_.bench->job(a.job);
    if (!job.ok()) return fail(job.error());
    auto board = open_board(*s_.bench, job->board);
    if (!board.ok()) return fail(board.error());
    take_board(std::move(board).value());
    s_.job = *job;
    const Index part = s_.board->index().part(job->lifted.empty() ? "" : job->lifted.front());
    show_part(part == kNone ? 0 : part);
    reload(fmt::format("job {}", a.job));
    s_.kept = job->kept;
  }

  void operator()(const OpenPart& a) {
    auto board = open_board(*s_.bench, a.board);
    if (!board.ok()) return fail(board.error());
    Index part = kNone;
    if (a.part.empty()) {
      const auto arrays = packages::area_arrays((*board)->index());
      if (!arrays.empty()) part = arrays.front();
      if (arrays.empty() && !(*board)->board().parts.empty()) part = 0;
    } else {
      const auto found = find_part(**board, a.part);
      if (!found.ok()) return fail(found.error());
      part = *found;
    }
    if (part == kNone) return fail({ErrorCode::kNotFound, "This board has no parts."});
    take_board(std::move(board).value());
    show_part(part);
    say(s_.board->info().name);
  }

  void operator()(const NewJob&) {
    if (!s_.board) return;
    const std::string part = s_.board->board().parts[s_.package.part].reference;
    const auto job = new_job(*s_.bench, *s_.board, {part}, "", SafetyAnswer::kNotAsked);
    if (!job.ok()) return fail(job.error());
    s_.job = *job;
    reload(fmt::format("job {}: {} lifted.", job->id, part));
  }

  void operator()(const AnswerSafety& a) {
    if (!s_.job) return;
    const auto set =
        s_.bench->set_safety(s_.job->id, a.critical ? SafetyAnswer::kYes : SafetyAnswer::kNo, now_utc());
    if (!set.ok()) return fail(set.error());
    reload(a.critical ? "Safety-critical: this board goes to the maker's authorised repair."
                      : "not safety-critical");
  }

  void operator()(const OtherFace&) { s_.balls_face = !s_.balls_face; }
  void operator()(const TurnBy& a) { s_.turn = normal_degrees(s_.turn + a.degrees); }
  void operator()(const NextTheme&) { s_.theme = (s_.theme + 1) % kThemes; }
  void operator()(const ToggleInspection&) { s_.inspection = !s_.inspection; }

  void operator()(const ShowBoard&) {
    if (!s_.board) return;
    if (!s_.board_view && s_.board->board().lands.empty())
      return fail({ErrorCode::kNotFound, "No board view: the files give no places, only names."});
    s_.board_view = !s_.board_view;
    if (s_.board_view) s_.bottom_side = s_.package.side == Side::kBottom;
  }
  void operator()(const OtherSide&) { s_.bottom_side = !s_.bottom_side; }
  void operator()(const GoToPin& a) {
    if (!s_.board || a.pin == kNone) return;
    s_.board_view = false;
    const Index part = s_.board->board().pins[a.pin].part;
    if (part != s_.package.part) show_part(part);
    (*this)(SelectPin{a.pin});
    say(s_.board->index().pin_text(a.pin));
  }

  void operator()(const Leave&) {
    s_.message.clear();
    if (!s_.find_text.empty()) return (*this)(FindText{});
    if (s_.inspection) {
      s_.inspection = false;
    } else if (s_.selected != kNone) {
      (*this)(SelectPin{});
    } else if (s_.board_view) {
      s_.board_view = false;
    } else if (s_.board) {
      s_.board.reset();
      s_.job.reset();
      s_.index.reset();
      fill_start();
    }
  }

  void operator()(const Refresh&) {
    const auto version = s_.bench->data_version();
    if (version == s_.seen_version) return;
    s_.seen_version = version;
    if (s_.job) reload("");
    if (!s_.board) fill_start();
  }

  void fill_start() {
    auto boards = s_.bench->boards();
    if (!boards.ok()) return fail(boards.error());
    auto jobs = s_.bench->jobs();
    if (!jobs.ok()) return fail(jobs.error());
    s_.boards = std::move(boards).value();
    s_.jobs = std::move(jobs).value();
    s_.seen_version = s_.bench->data_version();
  }

 private:
  void say(std::string text) {
    s_.message = std::move(text);
    s_.message_is_error = false;
  }
  void fail(const Error& error) {
    s_.message = error.message;
    s_.message_is_error = true;
  }

  void take_board(std::shared_ptr<const OpenBoard> board) {
    s_.board = std::move(board);
    s_.index = std::make_shared<FindIndex>(s_.board->index());
    s_.job.reset();
    s_.board_view = false;
    s_.assessment = {};
    (*this)(FindText{});
  }

  void show_part(Index part) {
    s_.package = packages::package_of(s_.board->index(), part);
    (*this)(SelectPin{});
  }

  // A pin of the net on the package that is shown, else any.
  Index pin_of_net(Index net) const {
    const auto pins = s_.board->index().pins_of_net(net);
    for (const Index pin : pins) {
      if (s_.board->board().pins[pin].part == s_.package.part) return pin;
    }
    return pins.empty() ? kNone : pins.front();
  }

  void describe() {
    s_.about.reset();
    if (s_.selected != kNone && s_.board) s_.about = about_ball(*s_.board, s_.selected);
  }

  void reload(const std::string& what) {
    const auto job = s_.bench->job(s_.job->id);
    if (!job.ok()) return fail(job.error());
    const auto rule = supply_rule(*s_.bench);
    if (!rule.ok()) return fail(rule.error());
    const auto rules = mend_rules(*s_.bench, *s_.board, *job);
    if (!rules.ok()) return fail(rules.error());
    s_.job = *job;
    lay_facts_over_marks(*s_.job);
    s_.assessment =
        rework::assess(s_.board->index(), s_.board->signals(), s_.board->copper(), *s_.job, *rule, *rules);
    s_.kept = s_.job->kept;
    if (!what.empty()) say(what);
  }

  void step(bool redo) {
    if (!s_.job) return fail({ErrorCode::kUsage, "No job, so there is nothing to undo."});
    const auto words = redo ? s_.bench->redo(s_.job->id, now_utc()) : s_.bench->undo(s_.job->id, now_utc());
    if (!words.ok()) return fail(words.error());
    if (!*words)
      return fail(
          {ErrorCode::kNotFound, redo ? "There is nothing to do again." : "There is nothing to undo."});
    reload((redo ? "done again: " : "undone: ") + **words);
  }

  Session& s_;
};

}  // namespace

Result<Session> start_session(const std::filesystem::path& bench_file) {
  auto bench = store::Bench::open(bench_file);
  if (!bench.ok()) return bench.error();
  Session session;
  session.bench = std::make_shared<store::Bench>(std::move(bench).value());
  Applier(session).fill_start();
  return session;
}

void apply(Session& session, const Action& action) {
  std::visit(Applier(session), action);
}

}  // namespace landfall::app
