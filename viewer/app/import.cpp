#include "viewer/app/import.hpp"

#include <algorithm>
#include <array>
#include <fstream>
#include <iterator>
#include <numeric>
#include <set>
#include <system_error>
#include <tuple>

#include <fmt/format.h>

#include "importers/design.hpp"
#include "importers/text/name_guard.hpp"
#include "netdb/join/by_name.hpp"
#include "netdb/join/join.hpp"
#include "netdb/join/one_chip.hpp"
#include "netdb/model/board_index.hpp"
#include "viewer/app/desk.hpp"
#include "viewer/app/gather.hpp"
#include "viewer/app/known_files.hpp"
#include "viewer/app/list_onto.hpp"
#include "viewer/app/revision.hpp"

namespace landfall::app {
namespace {

struct ListPart {
  std::string reference;
  Board board;
};

struct ReadFiles {
  std::vector<ListPart> lists;  // parts of the board that are known by a list alone
  std::vector<join::Source> sources;
  std::vector<store::SourceFile> files;
  std::vector<std::string> notes;  // what was understood
  std::string name;                // of the named file or folder that holds the fullest file
  int fullest = -1;
};

// The same bytes read otherwise are another source.
std::string hash_of(const std::string& bytes, const importers::ReadOptions& options) {
  std::string given = options.package + "\n" + options.view + "\n" + options.units + "\n" + options.columns;
  return given == "\n\n\n" ? store::content_hash(bytes)
                           : store::content_hash(store::content_hash(bytes) + given);
}

void take(ReadFiles& read, const std::string& name, const std::string& hash, importers::Design design,
          const Diagnostics& log) {
  const std::string shown = importers::guarded_name(name).text;
  store::SourceFile file{shown, design.format, design.version, hash, log.folded()};
  for (Diagnostic& d : file.diagnostics) d.file = shown;
  for (const std::string& note : design.notes) read.notes.push_back(shown + ": " + note);
  read.sources.push_back({shown, design.format, std::move(design.board)});
  read.files.push_back(std::move(file));
}

// A file's or folder's name without its ending; of "." and ".." the folder's own.
std::string name_of(const std::filesystem::path& path) {
  std::error_code failed;
  auto whole = std::filesystem::absolute(path, failed).lexically_normal();
  if (!whole.has_filename()) whole = whole.parent_path();
  auto stem = whole.stem();
  if (stem.extension() == ".tar") stem = stem.stem();  // of x.tar.gz
  return stem.empty() ? "board" : importers::guarded_name(stem.string()).text;
}

// The board is called as the fullest file is; of equal ones as the first by the alphabet.
void note_name(ReadFiles& read, const std::string& name, std::size_t first_file) {
  int fullest = 0;
  for (std::size_t i = first_file; i < read.files.size(); ++i)
    fullest = std::max(fullest, fullness(read.files[i].format));
  if (fullest < read.fullest || (fullest == read.fullest && name >= read.name)) return;
  read.fullest = fullest;
  read.name = name;
}

// The fullest first, then by name, whatever the order in which they were named; each once.
void put_in_order(ReadFiles& read) {
  std::vector<std::size_t> order(read.files.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
    const store::SourceFile& one = read.files[a];
    const store::SourceFile& other = read.files[b];
    return std::tuple(-fullness(one.format), std::string_view(one.name), std::string_view(one.hash)) <
           std::tuple(-fullness(other.format), std::string_view(other.name), std::string_view(other.hash));
  });
  std::vector<store::SourceFile> files;
  std::vector<join::Source> sources;
  for (const std::size_t i : order) {
    const auto same = std::find_if(files.begin(), files.end(),
                                   [&](const auto& file) { return file.hash == read.files[i].hash; });
    if (same != files.end()) {
      read.notes.push_back(same->name == read.files[i].name
                               ? fmt::format("{}: the same file twice, read once", same->name)
                               : fmt::format("{}: the same as {}", read.files[i].name, same->name));
      continue;
    }
    files.push_back(std::move(read.files[i]));
    sources.push_back(std::move(read.sources[i]));
  }
  read.files = std::move(files);
  read.sources = std::move(sources);
}

// Two designs joined by their references come out with the same part twice.
Status one_board(const Board& board) {
  std::set<std::string_view> seen;
  for (const Part& part : board.parts) {
    if (seen.insert(part.reference).second) continue;
    return Error{ErrorCode::kInput,
                 fmt::format("the files are not of one design: part {} would stand on the board twice",
                             part.reference)};
  }
  return std::monostate{};
}

bool is_list(const join::Source& source) {
  return importers::is_bare_part(source.format) && source.board.parts.size() == 1;
}

// Lists alone: one chip's, which is `part` if that is named. Without it two that seem to be different chips
// are the user's choice.
Status settle_lists_alone(ReadFiles& read, const std::string& part) {
  for (std::size_t i = 0; i < read.sources.size(); ++i) {
    join::Source& source = read.sources[i];
    if (!is_list(source)) continue;
    if (!part.empty()) source.board.parts.front().reference = part;
    if (i < read.files.size()) read.files[i].part = source.board.parts.front().reference;
    for (std::size_t other = 0; part.empty() && other < i; ++other) {
      const join::Source& before = read.sources[other];
      if (!is_list(before) || !is_list(source)) continue;
      const join::Likeness like = join::likeness(before.board, source.board);
      if (like.why_two.empty()) {
        if (like.repeated > 0)
          read.notes.push_back(
              fmt::format("{} and {} are taken as one chip's: {} of {} balls are in both, and {} names that "
                          "only repeat their ball say nothing against it",
                          before.file, source.file, like.balls, like.of, like.repeated));
        continue;
      }
      return Error{ErrorCode::kChoice,
                   fmt::format("{} and {} {}, so they seem to be two chips: import one by itself, then the "
                               "other with --into BOARD --part REF; with --part REF both are one chip",
                               before.file, source.file, like.why_two)};
    }
  }
  return std::monostate{};
}

// A list beside a netlist or a board: the names of one of its parts' pins, or a part of its own. Says of each
// file of `read` of which part it is.
Status settle_lists(ReadFiles& read, const std::string& part, const Board* before) {
  const auto bare = [](const join::Source& s) { return importers::is_bare_part(s.format); };
  const auto is_of = [&](std::size_t file, const std::string& reference) {
    if (file < read.files.size()) read.files[file].part = reference;
  };
  const Board* base = before;
  for (const join::Source& source : read.sources) {
    if (!bare(source) && (base == nullptr || base == before || source.board.pins.size() > base->pins.size()))
      base = &source.board;
  }
  if (base == nullptr &&
      (part.empty() || std::count_if(read.sources.begin(), read.sources.end(), is_list) > 1))
    return settle_lists_alone(read, part);
  std::vector<join::Source> sources;
  const Board own = base == nullptr ? Board{} : *base;
  const BoardIndex index(own);
  const std::vector<Index> known_by_list = before == nullptr ? std::vector<Index>{} : join::list_parts(index);
  for (std::size_t file = 0; file < read.sources.size(); ++file) {
    join::Source& source = read.sources[file];
    if (!is_list(source)) {
      sources.push_back(std::move(source));
      continue;
    }
    Index of = part.empty() ? kNone : index.part(part);
    if (part.empty()) {
      const join::Fit fit = join::fitting_part(index, source.board);
      std::string several;
      for (const std::string& one : fit.several) several += (several.empty() ? "" : ", ") + one;
      if (!several.empty())
        return Error{ErrorCode::kChoice, fmt::format("{}: this list fits {}; --part says of which part it is",
                                                     source.file, several)};
      of = fit.part;
      if (of == kNone)
        return Error{
            ErrorCode::kChoice,
            fmt::format("{}: this list fits no part of the board; --part REF says of which part it is,"
                        " or makes a new one",
                        source.file)};
    }
    const bool alone = std::find(known_by_list.begin(), known_by_list.end(), of) != known_by_list.end() &&
                       base == before && own.parts.size() > 1;
    if (of == kNone || alone) {
      const std::string& reference = of == kNone ? part : own.parts[of].reference;
      read.notes.push_back(fmt::format("{}: {} is a part known by this list alone, joined by signal name",
                                       source.file, reference));
      is_of(file, reference);
      read.lists.push_back({reference, std::move(source.board)});
      continue;
    }
    const std::string& reference = own.parts[of].reference;
    is_of(file, reference);
    read.notes.push_back(fmt::format("{}: taken as the names of {}'s pins", source.file, reference));
    source.board.parts.front().reference = reference;
    source.board.nets.clear();
    for (Pin& pin : source.board.pins) pin.net = kNone;
    sources.push_back(std::move(source));
  }
  read.sources = std::move(sources);
  return std::monostate{};
}

Status add_lists(const ReadFiles& read, Board& board) {
  for (const ListPart& list : read.lists) {
    if (Status added = join::add_list_part(board, list.board, list.reference); !added.ok()) return added;
  }
  return std::monostate{};
}

Error stopped() {
  return {ErrorCode::kUsage, "stopped: the bench is as it was"};
}

bool goes_on(const ImportRequest& request, const ImportStep& step) {
  return !request.on_step || request.on_step(step);
}

Result<ReadFiles> read_files(const ImportRequest& request) {
  ReadFiles read;
  ImportStep step;
  for (const auto& path : request.files) {
    std::error_code failed;
    const auto size = std::filesystem::file_size(path, failed);  // of an archive: packed, so a rough measure
    step.bytes_total += failed ? 0 : size;
  }
  bool going = true;
  importers::ReadOptions options = request.read;
  options.on_bytes = [&](std::size_t done) {
    ImportStep now = step;
    now.bytes_done = std::min(step.bytes_done + done, step.bytes_total);
    going = going && goes_on(request, now);
    return going;
  };
  for (const auto& path : request.files) {
    if (!goes_on(request, step)) return stopped();
    const std::size_t before = read.files.size();
    if (holds_files(path)) {
      auto gathering = gather(path, options);
      if (!going) return stopped();
      if (!gathering.ok()) return gathering.error();
      for (const std::string& note : gathering->notes)
        read.notes.push_back(importers::guarded_name(note).text);
      for (Gathered& file : gathering->files) {
        const std::string name = std::filesystem::path(file.name).filename().string();
        take(read, name, hash_of(file.bytes, options), std::move(file.design), file.log);
      }
      note_name(read, name_of(path), before);
      ++step.file;
      std::error_code failed;
      const auto size = std::filesystem::file_size(path, failed);
      step.bytes_done += failed ? 0 : size;
      continue;
    }
    auto bytes = read_file(path);
    if (!bytes.ok()) return bytes.error();
    Diagnostics log;
    auto design = importers::read_design(*bytes, path.string(), log, options);
    if (!going) return stopped();
    if (!design.ok()) return design.error();
    take(read, path.filename().string(), hash_of(*bytes, options), std::move(design).value(), log);
    note_name(read, name_of(path), before);
    ++step.file;
    step.bytes_done += bytes->size();
  }
  for (const NamedText& text : request.texts) {
    if (!goes_on(request, step)) return stopped();
    Diagnostics log;
    auto design = importers::read_design(text.text, text.name, log, options);
    if (!going) return stopped();
    if (!design.ok()) return design.error();
    take(read, text.name, hash_of(text.text, options), std::move(design).value(), log);
    ++step.file;
  }
  if (request.files.empty()) read.name = std::filesystem::path(request.texts.front().name).stem().string();
  put_in_order(read);
  return read;
}

Result<ImportReport> finish(store::Bench& bench, std::int64_t id, ReadFiles read, join::Joined joined) {
  ImportReport report;
  report.sources = std::move(read.files);
  for (const join::Disagreement& d : joined.disagreements) {
    report.disagreements.push_back({std::string(join::word(d.kind)), d.what, d.says, d.net});
  }
  report.notes = std::move(read.notes);
  report.notes.insert(report.notes.end(), joined.notes.begin(), joined.notes.end());
  auto info = bench.board_info(id);
  if (!info.ok()) return info.error();
  report.board = std::move(info).value();
  return report;
}

store::Origin origin_of(const ImportRequest& request, const ReadFiles& read, const join::Joined& joined) {
  store::Origin origin{read.files, {}, now_utc()};
  if (request.on_step) {
    origin.on_rows = [&request](std::size_t rows, std::size_t of) {
      return request.on_step({ImportStage::kKeeping, request.files.size(), 1, 1, rows, of});
    };
  }
  for (const join::Disagreement& d : joined.disagreements) {
    origin.disagreements.push_back({std::string(join::word(d.kind)), d.what, d.says, d.net});
  }
  return origin;
}

// Joins and says so.
std::optional<join::Joined> join_in_steps(const ImportRequest& request, std::vector<join::Source> sources) {
  if (!goes_on(request, {ImportStage::kJoining, request.files.size(), 1, 1})) return std::nullopt;
  join::Joined joined = sources.empty() ? join::Joined{} : join::join(std::move(sources));
  if (!goes_on(request, {ImportStage::kKeeping, request.files.size(), 1, 1})) return std::nullopt;
  return joined;
}

// The board as it is kept goes into the join with what comes now, less what the new files take the place of.
void join_beside(ReadFiles& read, Revision& revision, const Board& before) {
  for (join::Source& source : read.sources) {
    source.newest = std::any_of(revision.gone.begin(), revision.gone.end(),
                                [&](const auto& old) { return old.format == source.format; });
    source.contested = revision.contested;
  }
  for (auto& list : revision.lists) {
    const bool anew = std::any_of(read.lists.begin(), read.lists.end(),
                                  [&](const ListPart& one) { return one.reference == list.first; });
    if (!anew) read.lists.push_back({list.first, std::move(list.second)});
  }
  join::Source own{revision.name, revision.format, revision.gone.empty() ? before : revision.board};
  own.words_only = revision.base_gone;
  if (!own.board.parts.empty()) read.sources.insert(read.sources.begin(), std::move(own));
  if (revision.netlist) read.sources.push_back(std::move(*revision.netlist));
}

// What the board has in these very bytes stays as it is and is not read over it, unless the file that gives
// nets and copper is replaced: then all that was named is held against the new one. Those left out.
std::vector<store::SourceFile> leave_out_known(ReadFiles& read, const std::vector<store::SourceFile>& kept,
                                               const std::string& part) {
  const store::SourceFile* base = fullest(kept);
  const bool base_replaced = base != nullptr && fullness(base->format) > 0 &&
                             std::any_of(read.files.begin(), read.files.end(), [&](const auto& file) {
                               return file.format == base->format && !has_content(kept, file);
                             });
  std::vector<store::SourceFile> again;
  if (base_replaced) return again;
  std::vector<store::SourceFile> files;
  std::vector<join::Source> sources;
  for (std::size_t i = 0; i < read.files.size(); ++i) {
    if (has_file(kept, read.files[i], part)) {
      for (const store::SourceFile& old : kept) {
        if (old.hash == read.files[i].hash) again.push_back(old);
      }
      continue;
    }
    files.push_back(std::move(read.files[i]));
    sources.push_back(std::move(read.sources[i]));
  }
  read.files = std::move(files);
  read.sources = std::move(sources);
  return again;
}

// The lists of a board that is one part stay of that part, so that the marks find it.
void keep_reference(ReadFiles& read, const std::string& reference) {
  for (std::size_t i = 0; i < read.sources.size(); ++i) {
    if (!is_list(read.sources[i])) continue;
    read.sources[i].board.parts.front().reference = reference;
    if (i < read.files.size()) read.files[i].part = reference;
  }
}

// A board that is there as it is after the import: kept, unless it is only looked at.
Result<ImportReport> keep_into(store::Bench& bench, std::int64_t id, const ImportRequest& request,
                               ReadFiles read, const Board& before, join::Joined joined,
                               std::vector<store::KeptDisagreement> disagreements) {
  std::vector<std::string> changes = changes_under_jobs(bench, id, before, joined.board);
  for (std::string& change : changes_of_names(before, joined.board)) changes.push_back(std::move(change));
  store::Origin origin = origin_of(request, read, joined);
  keep_disagreements(std::move(disagreements), joined.board, origin);
  if (!request.look) {
    if (auto replaced = bench.replace_board(id, joined.board, origin); !replaced.ok())
      return replaced.error();
  }
  const Board& after = joined.board;
  const std::array<std::size_t, 3> counts{after.parts.size(), after.pins.size(), after.nets.size()};
  auto report = finish(bench, id, std::move(read), std::move(joined));
  if (!report.ok()) return report;
  report->notes.insert(report->notes.end(), changes.begin(), changes.end());
  // What is still so from before as well.
  report->disagreements = std::move(origin.disagreements);
  report->board.parts = static_cast<std::int64_t>(counts[0]);
  report->board.pins = static_cast<std::int64_t>(counts[1]);
  report->board.nets = static_cast<std::int64_t>(counts[2]);
  return report;
}

// Names of lists onto parts that are known by lists already. Nothing when they are no such lists.
Result<std::optional<ImportReport>> import_names(store::Bench& bench, std::int64_t id,
                                                 const ImportRequest& request, ReadFiles& read,
                                                 const Board& before,
                                                 const std::vector<store::SourceFile>& kept,
                                                 const std::vector<Job>& jobs) {
  using Report = std::optional<ImportReport>;
  const BoardIndex index(before);
  // What comes with a file that the board has is of its one part.
  const bool beside = std::any_of(read.files.begin(), read.files.end(),
                                  [&](const auto& file) { return has_file(kept, file, request.part); });
  const std::string& part = request.part.empty() && beside && before.parts.size() == 1
                                ? before.parts.front().reference
                                : request.part;
  std::vector<ListPlace> places;
  for (std::size_t i = 0; i < read.sources.size(); ++i) {
    const join::Source& list = read.sources[i];
    if (!is_list(list) || !list.board.lands.empty()) return Report();
    if (has_file(kept, read.files[i], request.part)) {
      places.emplace_back();
      continue;
    }
    const auto place = place_of_list(index, kept, list, part, request.wish, jobs);
    if (!place.ok()) return place.error();
    if (!*place) return Report();
    places.push_back(**place);
  }
  join::Joined joined;
  joined.board = before;
  std::vector<store::SourceFile> files = kept;
  std::string named;
  for (std::size_t i = 0; i < places.size(); ++i) {
    store::SourceFile& file = read.files[i];
    if (places[i].part == kNone) continue;  // the board has it
    file.part = before.parts[places[i].part].reference;
    const auto added = add_names(joined.board, places[i].part, read.sources[i]);
    if (!added.ok()) return added.error();
    named += (named.empty() ? "" : "; ") + *added;
    read.notes.push_back(fmt::format("{}: onto {}: {}", file.name, file.part, *added));
    // Of this file's own earlier editions nothing is left.
    std::erase_if(files, [&](const store::SourceFile& old) {
      return old.format == file.format && old.part == file.part && (places[i].newer || old.name == file.name);
    });
    files.push_back(file);
  }
  read.files = std::move(files);
  for (std::string& taken : places_taken(kept, read.files)) read.notes.push_back(std::move(taken));
  auto old = bench.disagreements(id);
  if (!old.ok()) return old.error();
  if (!goes_on(request, {ImportStage::kKeeping, request.files.size(), 1, 1})) return stopped();
  auto report =
      keep_into(bench, id, request, std::move(read), before, std::move(joined), std::move(old).value());
  if (!report.ok()) return report.error();
  report->named = std::move(named);
  return Report(std::move(report).value());
}

Result<ImportReport> import_into(store::Bench& bench, std::int64_t id, const ImportRequest& request,
                                 ReadFiles read) {
  auto before = bench.board(id);
  if (!before.ok()) return before.error();
  auto kept = bench.sources(id);
  if (!kept.ok()) return kept.error();
  const auto jobs = bench.jobs_of_board(id);
  if (!jobs.ok()) return jobs.error();
  const bool lists_alone = all_lists(read.files);
  auto onto_parts = import_names(bench, id, request, read, *before, *kept, *jobs);
  if (!onto_parts.ok()) return onto_parts.error();
  if (*onto_parts) return std::move(**onto_parts);
  const std::string names = file_names(read.files);
  const bool all_bare = all_lists(*kept);
  // The lists of several parts come anew each for its own.
  const bool several = all_bare && before->parts.size() > 1;
  const bool replaces = lists_alone && request.wish == ListWish::kReplace;
  const bool anew = (replaces || all_come_anew(*kept, read.files)) && !several &&
                    (request.part.empty() || (all_bare && !kept->empty() && before->parts.size() == 1 &&
                                              before->parts.front().reference == request.part));
  // A list that came first is fitted to the netlist that comes now.
  const bool list_first =
      all_bare && !kept->empty() && before->parts.size() == 1 && request.part.empty() && !lists_alone;
  std::vector<store::SourceFile> again;
  if (list_first || !anew) again = leave_out_known(read, *kept, request.part);
  if (list_first) {
    read.files.insert(read.files.end(), kept->begin(), kept->end());
    read.sources.push_back({file_names(*kept), kept->front().format, *before});
  }
  if (const Status settled = settle_lists(read, request.part, anew || list_first ? nullptr : &*before);
      !settled.ok())
    return settled.error();
  if (anew && all_bare && !list_first && request.part.empty() && before->parts.size() == 1)
    keep_reference(read, before->parts.front().reference);
  if (list_first) {
    for (std::size_t i = read.files.size() - kept->size(); i < read.files.size(); ++i)
      read.files[i].part = read.files[read.files.size() - kept->size()].part;
  }
  std::vector<store::SourceFile> stay;
  std::vector<store::KeptDisagreement> disagreements;
  if (!anew && !list_first) {
    Revision revision = revise(*before, *kept, read.files, read.sources, again);
    auto old = bench.disagreements(id);
    if (!old.ok()) return old.error();
    remember_netlist(*before, *old, revision);
    disagreements = still_said(std::move(old).value(), revision);
    read.notes.insert(read.notes.end(), revision.notes.begin(), revision.notes.end());
    stay = revision.stay;
    join_beside(read, revision, *before);
  }
  auto joining = join_in_steps(request, read.sources);
  if (!joining) return stopped();
  join::Joined joined = std::move(*joining);
  read.files.insert(read.files.begin(), stay.begin(), stay.end());
  for (std::string& taken : places_taken(*kept, read.files)) read.notes.push_back(std::move(taken));
  if (const Status added = add_lists(read, joined.board); !added.ok()) return added.error();
  if (const Status one = one_board(joined.board); !one.ok()) return one.error();
  if (lists_alone && all_bare && !anew) settle_nets(*before, joined.board);
  if (lists_alone && !replaces) {
    if (const Status stays = balls_stay(*before, joined.board, names, *jobs); !stays.ok())
      return stays.error();
  }
  return keep_into(bench, id, request, std::move(read), *before, std::move(joined), std::move(disagreements));
}

// A name that is free: the file's own, or with a number.
Result<std::string> free_name(store::Bench& bench, std::string name) {
  const auto boards = bench.boards_called(name);
  if (!boards.ok()) return boards.error();
  const auto taken = [&](const std::string& candidate) {
    return std::any_of(boards->begin(), boards->end(),
                       [&](const auto& b) { return lower(b.name) == lower(candidate); });
  };
  if (!taken(name)) return name;
  for (int n = 2;; ++n) {
    std::string numbered = fmt::format("{}-{}", name, n);
    if (!taken(numbered)) return numbered;
  }
}

}  // namespace

std::vector<std::string> changes_under_jobs(store::Bench& bench, std::int64_t id, const Board& before,
                                            const Board& after) {
  std::vector<std::string> notes;
  const auto jobs = bench.jobs_of_board(id);
  if (!jobs.ok()) return notes;
  const BoardIndex old_index(before);
  const BoardIndex new_index(after);
  const auto net_at = [](const BoardIndex& index, const Mark& mark) -> std::optional<std::string> {
    const Index part = index.part(mark.part);
    const Index pin = part == kNone ? kNone : index.pin(part, mark.ball);
    if (pin == kNone) return std::nullopt;
    const Index net = index.board().pins[pin].net;
    return net == kNone ? std::string("no net") : index.board().nets[net].name;
  };
  for (const Job& job : *jobs) {
    for (const Mark& mark : job.marks) {
      const auto was = net_at(old_index, mark);
      const auto is = net_at(new_index, mark);
      const std::string site = fmt::format("job {}: {}.{}", job.id, mark.part, mark.ball);
      if (!is) {
        notes.push_back(site + " is no longer on the board; its mark is kept and listed");
      } else if (was && *was != *is) {
        notes.push_back(fmt::format("{} was on {} and is now on {}", site, *was, *is));
      }
    }
  }
  return notes;
}

std::string_view word(ImportStage stage) {
  switch (stage) {
    case ImportStage::kReading:
      return "reading";
    case ImportStage::kJoining:
      return "joining";
    case ImportStage::kKeeping:
      return "keeping";
  }
  return "";
}

Result<std::string> read_file(const std::filesystem::path& file) {
  std::error_code failed;
  const auto status = std::filesystem::status(file, failed);
  const std::string name = file.string();
  if (name.empty()) return Error{ErrorCode::kInput, "an empty name is no file"};
  if (status.type() == std::filesystem::file_type::not_found && std::filesystem::is_symlink(file, failed))
    return Error{ErrorCode::kInput, name + ": this link leads to nothing"};
  if (status.type() == std::filesystem::file_type::not_found)
    return Error{ErrorCode::kInput, name + ": there is no such file"};
  if (std::filesystem::is_directory(status))
    return Error{ErrorCode::kInput, name + ": this is a folder; name the files in it"};
  if (!std::filesystem::is_regular_file(status))
    return Error{ErrorCode::kInput, name + ": this is no plain file"};
  const auto size = std::filesystem::file_size(file, failed);
  if (!failed && size > importers::kMostBytes) {
    return Error{ErrorCode::kInput,
                 fmt::format("{}: {} MB are more than the 512 MB that are read", name, size >> 20U)};
  }
  std::ifstream in(file, std::ios::binary);
  if (!in) return Error{ErrorCode::kInput, name + ": it may not be read"};
  std::string bytes;
  bytes.resize(failed ? 0 : static_cast<std::size_t>(size));
  in.read(bytes.data(), static_cast<std::streamsize>(bytes.size()));
  bytes.resize(static_cast<std::size_t>(in.gcount()));
  if (in.bad()) return Error{ErrorCode::kInput, name + ": reading it failed"};
  if (bytes.empty()) return Error{ErrorCode::kInput, name + ": the file is empty"};
  return bytes;
}

namespace {

Result<ImportReport> nothing_new(store::Bench& bench, std::int64_t id, ReadFiles read) {
  auto report = finish(bench, id, std::move(read), {});
  if (!report.ok()) return report;
  report->unchanged = true;
  report->notes.push_back(fmt::format(
      "nothing was changed: {} came from {} already; landfall job new {} PART opens another job on it",
      report->board.name, report->sources.size() == 1 ? "this file" : "these files", report->board.name));
  auto disagreements = bench.disagreements(id);
  if (disagreements.ok()) report->disagreements = std::move(disagreements).value();
  return report;
}

}  // namespace

Result<ImportReport> import_files(store::Bench& bench, const ImportRequest& request) {
  if (request.files.empty() && request.texts.empty()) return Error{ErrorCode::kUsage, "no file was named"};
  if (request.look && !request.into) return Error{ErrorCode::kUsage, "a look needs a board that is there"};
  auto read = read_files(request);
  if (!read.ok()) return read.error();
  auto known = known_files(bench, read->files, read->sources, request);
  if (!known.ok()) return known.error();
  if (known->same) return nothing_new(bench, *known->same, std::move(read).value());
  const bool some_known = !known->notes.empty();
  for (std::string& note : known->notes) read->notes.push_back(std::move(note));
  if (request.into) return import_into(bench, *request.into, request, std::move(read).value());
  if (known->home) {
    read->notes.push_back(
        fmt::format("so all of them go into {}; --name NAME makes another board of them", known->home->name));
    return import_into(bench, known->home->id, request, std::move(read).value());
  }
  std::string name = importers::guarded_name(request.name).text;
  if (name.empty()) {
    auto own = free_name(bench, read->name);
    if (!own.ok()) return own.error();
    name = std::move(own).value();
    if (name != read->name)
      read->notes.push_back(
          fmt::format("there is a board {} already{}: this one is called {}; --into {} would revise that one",
                      read->name, some_known ? "" : ", from other files", name, read->name));
  }
  for (const std::string& board : known->namesakes) {
    if (!request.name.empty() || name != read->name) break;  // said already
    read->notes.push_back(fmt::format(
        "{} came from another file of the same name: --into {} would revise that board", board, board));
  }
  if (const Status settled = settle_lists(*read, request.part, nullptr); !settled.ok())
    return settled.error();
  auto joining = join_in_steps(request, std::move(read->sources));
  if (!joining) return stopped();
  join::Joined joined = std::move(*joining);
  if (const Status added = add_lists(*read, joined.board); !added.ok()) return added.error();
  if (const Status one = one_board(joined.board); !one.ok()) return one.error();
  const auto id = bench.keep_board(name, joined.board, origin_of(request, *read, joined));
  if (!id.ok()) return id.error();
  return finish(bench, *id, std::move(read).value(), std::move(joined));
}

}  // namespace landfall::app
