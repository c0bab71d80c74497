// The bench file: boards, jobs, marks, rules, settings. One SQLite file, the only room that speaks SQL.
// Every change is one committed transaction before it is answered; a power cut after that loses nothing.
#pragma once

#include <cstdint>
#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "netdb/model/board.hpp"
#include "netdb/model/diagnostics.hpp"
#include "netdb/model/job.hpp"
#include "netdb/model/result.hpp"
#include "netdb/model/signal.hpp"

namespace landfall::store {

struct SourceFile {
  std::string name;  // without folders
  std::string format, version;
  std::string hash;  // content_hash of its bytes
  std::vector<Diagnostic> diagnostics;
};

struct KeptDisagreement {
  std::string kind, what, says, net;
};

struct BoardInfo {
  std::int64_t id = 0;
  std::string name;
  std::int64_t parts = 0, pins = 0, nets = 0;
  std::int64_t jobs = 0;
  std::vector<std::string> formats;
  std::string imported;  // UTC
};

// What goes with a board when it is kept.
struct Origin {
  std::vector<SourceFile> sources;
  std::vector<KeptDisagreement> disagreements;
  std::string now;  // UTC, ISO 8601
};

// One site of one gesture. No kind: the mark is taken off. No note: the note stays as it is.
struct MarkChange {
  std::string part, ball;
  std::optional<MarkKind> kind;
  std::optional<std::string> note;
};

// The newest gesture that touched a site; a greater number is newer.
struct SiteGesture {
  std::string part, ball;
  std::int64_t gesture = 0;
};

// 128 bits of FNV-1a as 32 hex digits. Not for secrets: it tells whether the same file comes again.
std::string content_hash(std::string_view bytes);

class Bench {
 public:
  // Opens or creates it, with the folders that lead to it. kBench in one sentence, and the file byte for byte
  // as it was, for a file that is no bench file, is another program's database, is from a newer version, is
  // damaged, or may not be written.
  static Result<Bench> open(const std::filesystem::path& file);
  Bench(Bench&&) noexcept;
  Bench& operator=(Bench&&) noexcept;
  Bench(const Bench&) = delete;
  Bench& operator=(const Bench&) = delete;
  ~Bench();

  Result<std::vector<BoardInfo>> boards();
  Result<Board> board(std::int64_t id);
  Result<std::vector<SourceFile>> sources(std::int64_t board);
  Result<std::vector<KeptDisagreement>> disagreements(std::int64_t board);
  // The board that came from just this file, if there is one.
  Result<std::optional<std::int64_t>> board_of_content(const std::string& hash);
  // All or nothing. kUsage when the name is taken or empty.
  Result<std::int64_t> keep_board(const std::string& name, const Board& board, const Origin& origin);
  // A revised design: its jobs and rules stay, marks go by part and ball.
  Status replace_board(std::int64_t id, const Board& board, const Origin& origin);
  // kChoice, naming the jobs, when it has some and they are not to go with it.
  Status remove_board(std::int64_t id, bool with_jobs);

  Result<std::vector<NameRule>> rules(std::int64_t board);
  Result<std::int64_t> add_rule(std::int64_t board, const NameRule& rule);
  // kNotFound when the board has no such rule.
  Status remove_rule(std::int64_t board, std::int64_t rule);

  Result<std::vector<Job>> jobs();
  Result<Job> job(std::int64_t id);
  Result<std::int64_t> new_job(const Job& job, const std::string& now);
  Status set_closed(std::int64_t job, bool closed, const std::string& now);
  Status set_safety(std::int64_t job, SafetyAnswer answer, const std::string& now);

  // One gesture: on disk before this returns, and one undo. What changes nothing is dropped; a gesture of
  // nothing keeps nothing. `words` says it for undo: "U1.Y3 torn".
  Status record(std::int64_t job, const std::string& words, const std::vector<MarkChange>& changes,
                const std::string& now);
  // The words of what was taken back or done again; nothing when there is none. History is never deleted.
  Result<std::optional<std::string>> undo(std::int64_t job, const std::string& now);
  Result<std::optional<std::string>> redo(std::int64_t job, const std::string& now);

  // By site that a gesture ever touched, taken back ones included.
  Result<std::vector<SiteGesture>> last_gestures(std::int64_t job);

  // The shop's own figure, if it was changed.
  Result<std::optional<double>> setting(const std::string& name);
  Status set_setting(const std::string& name, std::optional<double> value);

  // Changes when another connection has committed.
  std::int64_t data_version();

 private:
  struct Inside;
  explicit Bench(std::unique_ptr<Inside> inside);
  std::unique_ptr<Inside> inside_;
};

}  // namespace landfall::store
