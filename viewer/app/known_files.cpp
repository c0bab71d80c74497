#include "viewer/app/known_files.hpp"

#include <algorithm>
#include <map>
#include <tuple>

#include <fmt/format.h>

#include "importers/design.hpp"
#include "netdb/store/rescue.hpp"
#include "viewer/app/gather.hpp"
#include "viewer/app/revision.hpp"

namespace landfall::app {
namespace {

// Whether a board came from these files, in any order; unless it is to have a name of its own it may have
// come from more. What a newer file has taken the place of is not among a board's files any more.
bool came_from(const std::vector<store::SourceFile>& kept, const std::vector<store::SourceFile>& files,
               const ImportRequest& request) {
  return (request.name.empty() || kept.size() == files.size()) &&
         std::all_of(files.begin(), files.end(),
                     [&](const auto& file) { return has_file(kept, file, request.part); });
}

// A board that has some of the files.
struct Near {
  store::BoardInfo board;
  std::size_t files = 0;  // that say whose design it is
  int fullest = 0;        // of these

  [[nodiscard]] auto order() const { return std::tuple(files, fullest); }
};

std::optional<Near> nearness(const store::BoardInfo& board, const std::vector<store::SourceFile>& kept,
                             const std::vector<store::SourceFile>& files, const std::string& part) {
  const bool of_lists = board.parts == 1 && all_lists(kept) && all_lists(files);
  Near near{board};
  for (const store::SourceFile& file : files) {
    if (importers::is_bare_part(file.format) && !of_lists) continue;
    const bool here = std::any_of(kept.begin(), kept.end(), [&](const auto& k) {
      // After a rescue nobody knows a file's content any more, but its name.
      const bool wanted =
          k.hash.starts_with(store::kRescuedHash) && k.name == file.name && k.format == file.format;
      return (k.hash == file.hash || wanted) && (!of_lists || part.empty() || k.part == part);
    });
    if (!here) continue;
    ++near.files;
    near.fullest = std::max(near.fullest, fullness(file.format));
  }
  return near.files == 0 ? std::nullopt : std::optional(near);
}

std::string names_of(const std::vector<std::string>& names) {
  std::string text;
  for (const std::string& name : names) text += (text.empty() ? "" : " and on ") + name;
  return text;
}

}  // namespace

bool has_file(const std::vector<store::SourceFile>& kept, const store::SourceFile& file,
              const std::string& part) {
  return std::any_of(kept.begin(), kept.end(), [&](const auto& k) {
    return k.hash == file.hash && !to_be_compared(k) &&
           (part.empty() || !importers::is_bare_part(file.format) || k.part == part);
  });
}

Result<KnownFiles> known_files(store::Bench& bench, const std::vector<store::SourceFile>& files,
                               const std::vector<join::Source>& sources, const ImportRequest& request) {
  KnownFiles known;
  auto boards = bench.boards();
  if (!boards.ok()) return boards.error();
  std::reverse(boards->begin(), boards->end());
  std::vector<Near> near;
  std::map<std::size_t, std::vector<std::string>> where;  // by file: the boards that have it
  for (const store::BoardInfo& board : *boards) {
    if (request.into && board.id != *request.into) continue;
    const auto kept = bench.sources(board.id);
    if (!kept.ok()) return kept.error();
    if (came_from(*kept, files, request)) {
      known.same = board.id;
      return known;
    }
    for (std::size_t i = 0; i < files.size(); ++i) {
      const auto here =
          std::find_if(kept->begin(), kept->end(), [&](const auto& k) { return k.hash == files[i].hash; });
      if (here != kept->end())
        where[i].push_back(board.name + (here->part.empty() ? "" : " as " + here->part));
    }
    const bool namesake = std::any_of(files.begin(), files.end(), [&](const auto& file) {
      return std::any_of(kept->begin(), kept->end(), [&](const auto& k) {
        return k.name == file.name && k.format == file.format && k.hash != file.hash;
      });
    });
    if (namesake) known.namesakes.push_back(board.name);
    if (auto one = nearness(board, *kept, files, request.part)) near.push_back(std::move(*one));
  }
  for (const auto& [file, names] : where)
    known.notes.push_back(
        fmt::format("{}: the bench has this very file already, on {}", files[file].name, names_of(names)));
  if (near.empty() || request.into || !request.name.empty()) return known;
  const auto best = std::max_element(near.begin(), near.end(),
                                     [](const Near& a, const Near& b) { return a.order() < b.order(); });
  const auto board = bench.board(best->board.id);
  if (!board.ok()) return board.error();
  const bool one_design = std::all_of(sources.begin(), sources.end(), [&](const join::Source& source) {
    return importers::is_bare_part(source.format) || belongs(*board, source.board, source.format);
  });
  if (!one_design) return known;
  std::vector<std::string> equal;
  for (const Near& one : near) {
    if (one.order() == best->order()) equal.push_back(one.board.name);
  }
  if (equal.size() > 1)
    return Error{ErrorCode::kChoice,
                 fmt::format("some of these files are on {} already: --into BOARD says to which of them they "
                             "go, --name NAME makes another board",
                             names_of(equal))};
  known.home = best->board;
  return known;
}

std::optional<std::string> rescued_note(store::Bench& bench, std::int64_t board) {
  const auto kept = bench.sources(board);
  if (!kept.ok()) return std::nullopt;
  std::string names;
  for (const auto& file : *kept) {
    if (file.hash.starts_with(store::kRescuedHash)) names += (names.empty() ? "" : ", ") + file.name;
  }
  if (names.empty()) return std::nullopt;
  return fmt::format(
      "the board comes from a damaged bench file and may lack copper or pins: read its files again ({})",
      names);
}

}  // namespace landfall::app
