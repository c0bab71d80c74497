#include "viewer/app/sharing.hpp"

#include <algorithm>
#include <fstream>
#include <map>
#include <set>
#include <tuple>

#include <fmt/format.h>

#include "netdb/model/counted.hpp"

namespace landfall::app {
namespace {

std::set<std::string> hashes_of(const std::vector<store::SourceFile>& sources) {
  std::set<std::string> hashes;
  for (const store::SourceFile& source : sources) hashes.insert(source.hash);
  return hashes;
}

// The board here that came from the same files; a board that came from none (a bare package) by its name.
Result<std::optional<std::int64_t>> same_board(store::Bench& bench, const store::BoardInfo& theirs,
                                               const std::vector<store::SourceFile>& sources) {
  const auto boards = bench.boards();
  if (!boards.ok()) return boards.error();
  for (const store::BoardInfo& own : *boards) {
    const auto of_own = bench.sources(own.id);
    if (!of_own.ok()) return of_own.error();
    const bool same_counts = own.parts == theirs.parts && own.pins == theirs.pins && own.nets == theirs.nets;
    if (!same_counts || hashes_of(*of_own) != hashes_of(sources)) continue;
    if (sources.empty() && own.name != theirs.name) continue;
    return std::optional<std::int64_t>{own.id};
  }
  return std::optional<std::int64_t>{};
}

class Taker {
 public:
  Taker(store::Bench& ours, store::Bench& theirs, std::optional<Prefer> prefer)
      : ours_(ours), theirs_(theirs), prefer_(prefer) {}

  Result<std::vector<TakenIn>> run() {
    const auto jobs = theirs_.jobs();
    if (!jobs.ok()) return jobs.error();
    std::vector<TakenIn> all;
    bool conflicts = false;
    // First all is looked at, then all is kept.
    for (const bool keep : {false, true}) {
      all.clear();
      for (const Job& job : *jobs) {
        auto taken = take(job, keep);
        if (!taken.ok()) return taken.error();
        conflicts = conflicts || !taken->conflicts.empty();
        all.push_back(std::move(taken).value());
      }
      if (conflicts && !prefer_) return all;
    }
    return all;
  }

 private:
  Result<TakenIn> take(const Job& job, bool keep) {
    TakenIn taken;
    const auto info = theirs_.board_info(job.board);
    if (!info.ok()) return info.error();
    const auto sources = theirs_.sources(job.board);
    if (!sources.ok()) return sources.error();
    taken.board = info->name;
    auto board = same_board(ours_, *info, *sources);
    if (!board.ok()) return board.error();
    taken.new_board = !board->has_value();
    if (taken.new_board && keep) {
      auto id = keep_board(job.board, *info, *sources);
      if (!id.ok()) return id.error();
      *board = *id;
    }
    Job own;
    if (!taken.new_board) {
      const auto jobs = ours_.jobs_of_board(**board);
      if (!jobs.ok()) return jobs.error();
      for (const Job& one : *jobs) {
        if (one.created == job.created && one.lifted == job.lifted) own = one;
      }
    }
    taken.new_job = own.id == 0;
    if (taken.new_job && keep) {
      Job fresh = job;
      fresh.board = **board;
      const auto id = ours_.new_job(fresh, job.created);
      if (!id.ok()) return id.error();
      own.id = *id;
    }
    taken.job = own.id;
    if (auto kept = take_marks(job, own, keep, taken); !kept.ok()) return kept.error();
    if (auto kept = take_rest(job, own, keep, taken); !kept.ok()) return kept.error();
    return taken;
  }

  Result<std::int64_t> keep_board(std::int64_t id, const store::BoardInfo& info,
                                  const std::vector<store::SourceFile>& sources) {
    const auto board = theirs_.board(id);
    if (!board.ok()) return board.error();
    const auto disagreements = theirs_.disagreements(id);
    if (!disagreements.ok()) return disagreements.error();
    const auto rules = theirs_.rules(id);
    if (!rules.ok()) return rules.error();
    const auto aliases = theirs_.aliases(id);
    if (!aliases.ok()) return aliases.error();
    const auto boards = ours_.boards();
    if (!boards.ok()) return boards.error();
    std::string name = info.name;
    const auto is_taken = [&] {
      return std::any_of(boards->begin(), boards->end(),
                         [&](const store::BoardInfo& own) { return lower(own.name) == lower(name); });
    };
    for (int n = 2; is_taken(); ++n) name = fmt::format("{}-{}", info.name, n);
    auto kept = ours_.keep_board(name, *board, {sources, *disagreements, info.imported});
    if (!kept.ok()) return kept.error();
    for (const NameRule& rule : *rules) {
      if (const auto added = ours_.add_rule(*kept, rule); !added.ok()) return added.error();
    }
    if (const auto added = ours_.add_aliases(*kept, *aliases); !added.ok()) return added.error();
    return *kept;
  }

  // A site on one bench: its mark, or none, and what it has been.
  struct SiteHere {
    const Mark* mark = nullptr;
    const store::SitePast* past = nullptr;
    [[nodiscard]] bool ever() const { return past != nullptr; }
    [[nodiscard]] std::int64_t now() const { return past->states.back(); }
    // Its present state came after the other's.
    [[nodiscard]] bool knows(const SiteHere& other) const {
      if (!other.ever()) return true;
      return ever() && std::find(past->states.begin(), past->states.end(), other.now()) != past->states.end();
    }
    [[nodiscard]] std::string words() const {
      if (mark == nullptr) return "taken off";
      return mark->note.empty() ? std::string(word(mark->kind))
                                : fmt::format("{} ({})", word(mark->kind), mark->note);
    }
  };
  using Sites = std::map<std::pair<std::string, std::string>, SiteHere>;

  static Sites sites_of(const Job& job, const std::vector<store::SitePast>& pasts) {
    Sites sites;
    for (const Mark& mark : job.marks) sites[{mark.part, mark.ball}].mark = &mark;
    for (const store::SitePast& past : pasts) sites[{past.part, past.ball}].past = &past;
    return sites;
  }

  static bool alike(const SiteHere& a, const SiteHere& b) {
    if ((a.mark == nullptr) != (b.mark == nullptr)) return false;
    return a.mark == nullptr || (a.mark->kind == b.mark->kind && a.mark->note == b.mark->note);
  }

  Status take_marks(const Job& job, const Job& own, bool keep, TakenIn& taken) {
    const auto pasts = theirs_.site_pasts(job.id);
    if (!pasts.ok()) return pasts.error();
    std::vector<store::SitePast> own_pasts;
    if (own.id != 0) {
      auto found = ours_.site_pasts(own.id);
      if (!found.ok()) return found.error();
      own_pasts = std::move(found).value();
    }
    Sites here = sites_of(own, own_pasts);
    std::vector<store::MarkChange> changes;
    std::vector<store::SitePast> agreed;
    std::vector<store::SitePast> stood_by;
    for (const auto& [site, there] : sites_of(job, *pasts)) {
      if (!there.ever()) continue;
      const SiteHere& ours = here[site];
      if (alike(ours, there)) {
        if (!ours.knows(there)) agreed.push_back(*there.past);
        continue;
      }
      const bool theirs_is_later = there.knows(ours);
      const bool ours_is_later = ours.knows(there);
      if (ours_is_later && !theirs_is_later) continue;
      if (ours_is_later == theirs_is_later) {
        taken.conflicts.push_back(
            fmt::format("{}.{}: here {}, there {}", site.first, site.second, ours.words(), there.words()));
        if (prefer_ != Prefer::kTheirs) {
          stood_by.push_back(*there.past);
          continue;
        }
      }
      agreed.push_back(*there.past);
      if (there.mark == nullptr) {
        ++taken.off;
        changes.push_back({site.first, site.second, std::nullopt, std::nullopt});
      } else {
        ++taken.marks;
        changes.push_back({site.first, site.second, there.mark->kind, there.mark->note});
      }
    }
    if (!keep) return std::monostate{};
    if (!changes.empty()) {
      const auto recorded = ours_.record(
          own.id, fmt::format("{} taken in from another bench", changes.size()), changes, now_utc());
      if (!recorded.ok()) return recorded;
    }
    // So that the same question is not asked again, here or there.
    if (!stood_by.empty()) {
      if (auto kept = ours_.stand_by(own.id, stood_by, now_utc()); !kept.ok()) return kept;
    }
    return agreed.empty() ? Status(std::monostate{}) : ours_.agree_on(own.id, agreed, now_utc());
  }

  static bool same(const Fact& a, const Fact& b) {
    return a.kind == b.kind && a.a == b.a && a.b == b.b && a.name == b.name && a.place == b.place &&
           a.reach == b.reach;
  }
  static bool same(const Outcome& a, const Outcome& b) {
    return a.kind == b.kind && a.site == b.site && a.place == b.place && a.worked == b.worked &&
           a.withdrawn == b.withdrawn && a.at == b.at;
  }

  // What stands there comes in, unless it was taken back here; what was taken back there is taken back here.
  Status take_facts(const Job& job, const Job& own, bool keep, TakenIn& taken) {
    const auto gone_there = theirs_.withdrawn_facts(job.id);
    if (!gone_there.ok()) return gone_there.error();
    std::vector<store::WithdrawnFact> gone_here;
    if (own.id != 0) {
      auto found = ours_.withdrawn_facts(own.id);
      if (!found.ok()) return found.error();
      gone_here = std::move(found).value();
    }
    // The very one, by when it was made, was taken back, or one that says the same was taken back later.
    const auto was_taken_back = [](const std::vector<store::WithdrawnFact>& gone, const Fact& fact) {
      return std::any_of(gone.begin(), gone.end(), [&](const store::WithdrawnFact& one) {
        return same(one.fact, fact) && (one.fact.created == fact.created || fact.created <= one.at);
      });
    };
    const auto stands = [](const std::vector<Fact>& list, const Fact& fact) {
      return std::any_of(list.begin(), list.end(), [&](const Fact& one) { return same(one, fact); });
    };
    for (const Fact& fact : job.facts) {
      if (stands(own.facts, fact) || was_taken_back(gone_here, fact)) continue;
      ++taken.facts;
      if (!keep) continue;
      if (const auto kept = ours_.add_fact(own.id, fact, fact.created); !kept.ok()) return kept.error();
    }
    for (const Fact& fact : own.facts) {
      if (!was_taken_back(*gone_there, fact) || stands(job.facts, fact)) continue;
      ++taken.off;
      if (!keep) continue;
      if (auto kept = ours_.withdraw_fact(own.id, fact.id, now_utc()); !kept.ok()) return kept;
    }
    return std::monostate{};
  }

  Status take_rest(const Job& job, const Job& own, bool keep, TakenIn& taken) {
    if (auto kept = take_facts(job, own, keep, taken); !kept.ok()) return kept;
    if (auto kept = take_outcomes(job, own, keep, taken); !kept.ok()) return kept;
    if (auto kept = take_readings(job, own, keep, taken); !kept.ok()) return kept;
    if (auto kept = take_photos(job, own, keep, taken); !kept.ok()) return kept;
    return take_answers(job, own, keep, taken);
  }

  Status take_outcomes(const Job& job, const Job& own, bool keep, TakenIn& taken) {
    const auto theirs = theirs_.outcomes(job.id);
    if (!theirs.ok()) return theirs.error();
    std::vector<Outcome> here;
    if (own.id != 0) {
      auto found = ours_.outcomes(own.id);
      if (!found.ok()) return found.error();
      here = std::move(found).value();
    }
    for (Outcome outcome : *theirs) {
      if (std::any_of(here.begin(), here.end(), [&](const Outcome& one) { return same(one, outcome); }))
        continue;
      ++taken.outcomes;
      outcome.job = own.id;
      if (!keep) continue;
      if (const auto kept = ours_.add_outcome(outcome); !kept.ok()) return kept.error();
    }
    return keep ? take_numbers(job, own) : Status(std::monostate{});
  }

  // A sheet may have come along on paper. Where both benches gave numbers out, ours stand.
  Status take_numbers(const Job& job, const Job& own) {
    const auto here = ours_.kept_numbers(own.id);
    if (!here.ok()) return here.error();
    const auto theirs = theirs_.kept_numbers(job.id);
    if (!theirs.ok()) return theirs.error();
    if (!here->empty() || theirs->empty()) return std::monostate{};
    return ours_.keep_numbers(own.id, *theirs);
  }

  // As with facts; of two that stand at one place the newer holds.
  Status take_readings(const Job& job, const Job& own, bool keep, TakenIn& taken) {
    const auto theirs = theirs_.readings(job.id);
    if (!theirs.ok()) return theirs.error();
    const auto gone_there = theirs_.withdrawn_readings(job.id);
    if (!gone_there.ok()) return gone_there.error();
    std::vector<MeterReading> here;
    std::vector<MeterReading> gone_here;
    if (own.id != 0) {
      auto found = ours_.readings(own.id);
      if (!found.ok()) return found.error();
      here = std::move(found).value();
      auto gone = ours_.withdrawn_readings(own.id);
      if (!gone.ok()) return gone.error();
      gone_here = std::move(gone).value();
    }
    const auto same_place = [](const MeterReading& a, const MeterReading& b) {
      return a.net == b.net && a.point == b.point && a.mode == b.mode && a.stage == b.stage;
    };
    // Of two of one second the greater value, so that both benches come to the same.
    const auto newer = [](const MeterReading& a, const MeterReading& b) {
      return std::tie(a.at, a.value) > std::tie(b.at, b.value);
    };
    const auto at_place = [&](const std::vector<MeterReading>& list, const MeterReading& reading) {
      return std::find_if(list.begin(), list.end(),
                          [&](const MeterReading& one) { return same_place(one, reading); });
    };
    const auto among = [&](const std::vector<MeterReading>& list, const MeterReading& reading) {
      return std::any_of(list.begin(), list.end(), [&](const MeterReading& one) {
        return same_place(one, reading) && one.at == reading.at && one.value == reading.value;
      });
    };
    for (const MeterReading& reading : *theirs) {
      const auto found = at_place(here, reading);
      if ((found != here.end() && !newer(reading, *found)) || among(gone_here, reading)) continue;
      ++taken.readings;
      if (!keep) continue;
      if (auto kept = ours_.add_readings(own.id, {reading}, reading.at); !kept.ok()) return kept;
    }
    for (const MeterReading& reading : here) {
      if (!among(*gone_there, reading) || at_place(*theirs, reading) != theirs->end()) continue;
      ++taken.off;
      if (!keep) continue;
      if (auto kept = ours_.withdraw_reading(own.id, reading.id, now_utc()); !kept.ok()) return kept;
    }
    return std::monostate{};
  }

  Status take_photos(const Job& job, const Job& own, bool keep, TakenIn& taken) {
    const auto theirs = theirs_.photos(job.id);
    if (!theirs.ok()) return theirs.error();
    for (const Photo& photo : *theirs) {
      std::optional<std::int64_t> number;
      if (own.id != 0) {
        const auto known = ours_.photo_of_content(own.id, photo.hash);
        if (!known.ok()) return known.error();
        number = *known;
      }
      bool newer = !number;
      if (number) {
        const auto here = ours_.photo(own.id, *number);
        if (!here.ok() && here.error().code != ErrorCode::kNotFound) return here.error();
        newer = here.ok() && here->matched < photo.matched;
      }
      if (!newer) continue;
      ++taken.photos;
      if (!keep) continue;
      if (auto kept = take_photo(job, own, photo, number); !kept.ok()) return kept;
    }
    return std::monostate{};
  }

  // Its bytes where they are not here yet, and its matches.
  Status take_photo(const Job& job, const Job& own, const Photo& photo, std::optional<std::int64_t> number) {
    if (!number) {
      const auto bytes = theirs_.photo_bytes(job.id, photo.number);
      if (!bytes.ok()) return bytes.error();
      const auto added = ours_.add_photo(own.id, photo, *bytes, photo.at);
      if (!added.ok()) return added.error();
      number = *added;
    }
    if (photo.matched.empty()) return std::monostate{};
    return ours_.match_photo(own.id, *number, photo.fit, photo.matches, photo.matched);
  }

  Status take_answers(const Job& job, const Job& own, bool keep, TakenIn& taken) {
    const auto theirs = theirs_.intake_with_taken_back(job.id);
    if (!theirs.ok()) return theirs.error();
    std::vector<IntakeAnswer> here;
    if (own.id != 0) {
      auto found = ours_.intake_with_taken_back(own.id);
      if (!found.ok()) return found.error();
      here = std::move(found).value();
    }
    // The one that was changed more often stands; of two changed as often the later one, and of two of one
    // second either, but the same on both benches.
    const auto newer = [](const IntakeAnswer& a, const IntakeAnswer& b) {
      return std::tie(a.turn, a.at, a.answer) > std::tie(b.turn, b.at, b.answer);
    };
    for (const IntakeAnswer& answer : *theirs) {
      const auto found = std::find_if(here.begin(), here.end(),
                                      [&](const IntakeAnswer& one) { return one.topic == answer.topic; });
      if (found != here.end() && !newer(answer, *found)) continue;
      const bool there_is_one = found != here.end() && !found->answer.empty();
      if (!answer.answer.empty()) ++taken.answers;
      if (answer.answer.empty() && there_is_one) ++taken.off;
      if (!keep) continue;
      if (auto kept = ours_.take_intake(own.id, {answer}, now_utc()); !kept.ok()) return kept;
    }
    return std::monostate{};
  }

  store::Bench& ours_;
  store::Bench& theirs_;
  std::optional<Prefer> prefer_;
};

}  // namespace

Result<std::vector<TakenIn>> take_in(store::Bench& bench, const std::filesystem::path& file,
                                     std::optional<Prefer> prefer) {
  std::error_code none;
  if (!std::filesystem::is_regular_file(file, none))
    return Error{ErrorCode::kInput, fmt::format("{}: there is no such file", file.string())};
  auto theirs = store::Bench::open(file);
  if (!theirs.ok()) return Error{ErrorCode::kInput, theirs.error().message};
  return Taker(bench, *theirs, prefer).run();
}

bool is_handed_over(const std::filesystem::path& file) {
  // Source: "Database File Format", sqlite.org/fileformat2.html, section 1.3: the header string.
  constexpr std::string_view kHead{"SQLite format 3\0", 16};
  std::ifstream in(file, std::ios::binary);
  std::string head(kHead.size(), ' ');
  return in && in.read(head.data(), static_cast<std::streamsize>(head.size())) && head == kHead;
}

std::string counts_text(const TakenIn& one) {
  std::string text;
  const auto add = [&](std::size_t n, const char* noun) {
    if (n > 0) text += fmt::format("{}{}", text.empty() ? "" : ", ", count_of(n, noun));
  };
  add(one.marks, "mark");
  add(one.facts, "fact");
  add(one.outcomes, "outcome");
  add(one.readings, "reading");
  add(one.answers, "answer");
  add(one.photos, "photo");
  if (one.off > 0) text += fmt::format("{}{} taken off", text.empty() ? "" : ", ", one.off);
  return text.empty() ? "nothing new" : text;
}

}  // namespace landfall::app
