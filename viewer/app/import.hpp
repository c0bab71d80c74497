// Files into the bench file: read, joined, kept in one transaction.
#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "importers/design.hpp"
#include "netdb/store/bench.hpp"

namespace landfall::app {

enum class ImportStage { kReading, kJoining, kKeeping };
std::string_view word(ImportStage stage);

// Said before each step of an import, and within long ones.
struct ImportStep {
  ImportStage stage = ImportStage::kReading;
  std::size_t file = 0;  // while reading: which of the request's files
  std::uint64_t bytes_done = 0, bytes_total = 0;
  std::uint64_t rows_done = 0, rows_total = 0;  // while keeping; the total is about
};

// Text that no file holds: pasted.
struct NamedText {
  std::string name, text;
};

// What a list does to a part that is known by lists already, where it leaves out balls of it.
enum class ListWish {
  kAsk,      // one that names less than half of the balls is added; else kChoice where much would go
  kCareful,  // as kAsk, but what would have to be asked is added
  kAdd,      // its names go onto the part, all else stays
  kReplace,  // it is all that is known of the part, whatever goes
};

struct ImportRequest {
  std::vector<std::filesystem::path> files;  // all of one design; folders and archives hold them
  std::vector<NamedText> texts = {};         // beside them, read after them
  std::string name;                          // empty: that of the fullest file, without its ending
  std::optional<std::int64_t> into;          // a board to which they are added, or whose revision they are
  std::string part;  // of which part a list is: one of the board's, or a new one that is known by it alone
  importers::ReadOptions read;  // what only the user knows about them
  ListWish wish = ListWish::kAsk;
  bool look = false;                               // with `into`: says what would change, and keeps nothing
  std::function<bool(const ImportStep&)> on_step;  // may be empty; false stops, and nothing is kept
};

struct ImportReport {
  store::BoardInfo board;
  std::vector<store::SourceFile> sources;
  std::vector<store::KeptDisagreement> disagreements;
  std::vector<std::string> notes;  // what was understood, what changed under the board's jobs
  bool unchanged = false;          // these very files were there already
  std::string named;               // "4 of 127 balls named; 123 kept", where a list was added to a part
};

// The whole file. kInput in one line for a folder, a file that is not there or may not be read, an empty one.
Result<std::string> read_file(const std::filesystem::path& file);

// All or nothing: a file that cannot be understood leaves the bench as it was. The same files twice change
// nothing. `into`: files of formats that the board has already are its revision and take their place; lists
// of a part that is known by lists: `wish`.
Result<ImportReport> import_files(store::Bench& bench, const ImportRequest& request);

// What a revision does to the marks of the board's jobs, in words.
std::vector<std::string> changes_under_jobs(store::Bench& bench, std::int64_t board, const Board& before,
                                            const Board& after);

}  // namespace landfall::app
