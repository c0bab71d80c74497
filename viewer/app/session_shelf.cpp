#include <algorithm>

#include <fmt/format.h>

#include "netdb/model/counted.hpp"
#include "viewer/app/session_inside.hpp"

// The bench's other pages: the shelf of donors with how past verdicts fared, and jobs from bench to bench.

namespace landfall::app {

void show_bench_page(Session& s, BenchPage page) {
  s.bench_page = true;
  s.inspection = false;
  s.shaping = false;
  s.warnings.reset();
  s.pasted.reset();
  s.bench_view = page;
  fill_start(s);
}

void make_shelf_anew(Session& s) {
  const auto shelf = s.bench->shelf();
  if (!shelf.ok()) return fail(s, shelf.error());
  auto tally = tally_of(*s.bench);
  if (!tally.ok()) return fail(s, tally.error());
  auto money = money_of(*s.bench);
  if (!money.ok()) return fail(s, money.error());
  ShelfDesk desk;
  for (const store::Shelved& one : *shelf) {
    ShelfDesk::Row row{one, {}, {}};
    for (const Job& job : s.jobs) {
      if (job.id != one.job) continue;
      row.title = job.title;
      for (const store::BoardInfo& board : s.boards) {
        if (board.id == job.board) row.board = board.name;
      }
    }
    desk.rows.push_back(std::move(row));
  }
  desk.tally = std::move(tally).value();
  desk.money = std::move(money).value();
  if (s.shelf) desk.text = s.shelf->text;
  if (!desk.text.empty()) {
    auto donors = find_donors(*s.bench, desk.text);
    if (!donors.ok()) return fail(s, donors.error());
    desk.donors = std::move(donors).value();
  }
  s.shelf = std::move(desk);
}

void act(Session& s, const ShowShelf&) {
  if (s.bench_view == BenchPage::kShelf && s.bench_page) return s.bench_view.reset();
  show_bench_page(s, BenchPage::kShelf);
  make_shelf_anew(s);
  if (!s.shelf) return;
  say(s, s.shelf->rows.empty() ? std::string("The shelf is empty.")
                               : fmt::format("{} on the shelf.", count_of(s.shelf->rows.size(), "board")));
}

void act(Session& s, const FindDonors& a) {
  if (!s.shelf) return;
  s.shelf->text = a.text;
  s.shelf->donors.clear();
  if (a.text.empty()) return say(s, "");
  s.message_is_error = false;
  make_shelf_anew(s);
  if (s.message_is_error) return;
  const std::size_t found = s.shelf->donors.size();
  say(s, found == 0 ? fmt::format("No donor on the shelf has {}.", a.text)
                    : fmt::format("{}: {} on the shelf.", a.text, found));
}

void act(Session& s, const ShelveJob& a) {
  const Status kept = a.on ? s.bench->shelve(a.job, a.note, now_utc()) : s.bench->unshelve(a.job);
  if (!kept.ok()) return fail(s, kept.error());
  if (s.shelf) make_shelf_anew(s);
  say(s, fmt::format("Job {} is {} the shelf.", a.job, a.on ? "on" : "off"));
}

void act(Session& s, const TakePart& a) {
  const auto job = s.bench->job(a.job);
  if (!job.ok()) return fail(s, job.error());
  const auto reference = take_part(*s.bench, *job, a.part, a.taken);
  if (!reference.ok()) return fail(s, reference.error());
  if (s.shelf) make_shelf_anew(s);
  say(s, fmt::format("Job {}: {} {}.", a.job, *reference, a.taken ? "was taken off" : "is there again"));
}

void act(Session& s, const ShowSharing&) {
  if (s.bench_view == BenchPage::kSharing && s.bench_page) return s.bench_view.reset();
  s.sharing = {};
  s.message.clear();
  s.message_is_error = false;
  show_bench_page(s, BenchPage::kSharing);
}

void act(Session& s, const HandOverJob& a) {
  if (a.file.empty()) return fail(s, {ErrorCode::kUsage, "Name the file that is to be written."});
  if (const auto kept = s.bench->hand_over(a.job, a.file, {a.settings, a.photos}); !kept.ok())
    return fail(s, kept.error());
  say(s, fmt::format("{}: job {} with its board{}{}.", a.file, a.job,
                     a.settings ? " and the shop's settings" : "; the shop's settings are not in it",
                     a.photos ? "" : ", nor its photos"));
}

void act(Session& s, const WriteSheets& a) {
  if (a.file.empty()) return fail(s, {ErrorCode::kUsage, "Name the file that is to be written."});
  if (!s.write_sheets) return fail(s, {ErrorCode::kUsage, "This program has no sheets."});
  WriteSheets order = a;
  if (!order.file.has_extension()) order.file += ".pdf";
  std::error_code unknown;
  if (std::filesystem::exists(order.file, unknown) && s.sharing.there != order.file) {
    s.sharing.there = order.file;
    return fail(s, {ErrorCode::kUsage, order.file.string() + " is there already: once more replaces it."});
  }
  const auto written = s.write_sheets(*s.bench, order);
  if (!written.ok()) return fail(s, written.error());
  s.sharing.there.clear();
  // The numbers that are on paper now are kept: what shows of them is made anew.
  if (s.job && s.job->id == a.job) reload_job(s, "");
  say(s, fmt::format("{}: {}.", order.file.string(), *written));
}

void act(Session& s, const TakeInFile& a) {
  auto taken = take_in(*s.bench, a.file, a.prefer);
  if (!taken.ok()) return fail(s, taken.error());
  show_bench_page(s, BenchPage::kSharing);
  const bool conflicts =
      std::any_of(taken->begin(), taken->end(), [](const TakenIn& one) { return !one.conflicts.empty(); });
  s.sharing = {a.file, std::move(taken).value(), conflicts && !a.prefer};
  if (s.sharing.waits)
    return say(s, "Nothing was taken in: both benches changed these sites. Say which side holds.");
  s.summaries.clear();
  if (s.job) reload_job(s, "");
  std::string text;
  for (const TakenIn& one : s.sharing.jobs)
    text += fmt::format("{}job {} on {}: {}", text.empty() ? "" : "; ", one.job, one.board, counts_text(one));
  say(s, (text.empty() ? "The file holds no job" : text) + ".");
}

}  // namespace landfall::app
