#include <algorithm>

#include <fmt/format.h>

#include "netdb/store/board_rows.hpp"
#include "netdb/store/inside.hpp"

// What is asked of boards, their sources and rules.

namespace landfall::store {
namespace {

constexpr const char* kInfoColumns =
    "SELECT id, name, parts, pins, nets, imported, (SELECT count(*) FROM job WHERE job.board = board.id), "
    "(SELECT group_concat(format, ',') FROM source WHERE source.board = board.id) FROM board";

BoardInfo info_in(const Statement& statement) {
  BoardInfo info;
  info.id = statement.integer(0);
  info.name = statement.text(1);
  info.parts = statement.integer(2);
  info.pins = statement.integer(3);
  info.nets = statement.integer(4);
  info.imported = statement.text(5);
  info.jobs = statement.integer(6);
  const std::string formats = statement.text(7);
  for (std::size_t start = 0; start < formats.size();) {
    const auto end = std::min(formats.find(',', start), formats.size());
    info.formats.push_back(formats.substr(start, end - start));
    start = end + 1;
  }
  return info;
}

Result<std::vector<BoardInfo>> infos(const Database& database, Statement& statement) {
  std::vector<BoardInfo> boards;
  while (statement.step()) boards.push_back(info_in(statement));
  if (!statement.ok()) return database.error();
  return boards;
}

Error no_board(std::int64_t id) {
  return {ErrorCode::kNotFound, fmt::format("there is no board {}", id)};
}

Result<Board> board_by(const Database& database, std::int64_t id,
                       Status (*read)(const Database&, std::int64_t, Board&)) {
  const Snapshot snapshot(database);
  Statement statement(database, "SELECT title, thickness FROM board WHERE id = ?");
  if (!statement.bind(1, id).step()) {
    if (!statement.ok()) return database.error();
    return no_board(id);
  }
  Board board;
  board.title = statement.text(0);
  board.thickness = statement.integer(1);
  if (auto done = read(database, id, board); !done.ok()) return done.error();
  return board;
}

}  // namespace

Result<std::vector<BoardInfo>> Bench::boards() {
  Statement statement(inside_->database, fmt::format("{} ORDER BY id", kInfoColumns).c_str());
  return infos(inside_->database, statement);
}

Result<BoardInfo> Bench::board_info(std::int64_t id) {
  Statement statement(inside_->database, fmt::format("{} WHERE id = ?", kInfoColumns).c_str());
  if (statement.bind(1, id).step()) return info_in(statement);
  if (!statement.ok()) return inside_->database.error();
  return no_board(id);
}

Result<std::vector<BoardInfo>> Bench::boards_called(std::string_view beginning) {
  Statement statement(inside_->database,
                      fmt::format("{} WHERE name >= ? AND name < ? ORDER BY name", kInfoColumns).c_str());
  const std::string end = after_all_that_begin(beginning);
  statement.bind(1, beginning).bind(2, std::string_view(end));
  return infos(inside_->database, statement);
}

Result<Board> Bench::board(std::int64_t id) {
  return board_by(inside_->database, id, read_board);
}

Result<Board> Bench::board_words(std::int64_t id) {
  return board_by(inside_->database, id, read_board_words);
}

Result<std::vector<SourceFile>> Bench::sources(std::int64_t board) {
  const Snapshot snapshot(inside_->database);
  Statement statement(inside_->database,
                      "SELECT id, name, format, version, hash, part FROM source WHERE board = ? ORDER BY id");
  statement.bind(1, board);
  Statement diagnostic(
      inside_->database,
      "SELECT severity, line, col, code, message FROM diagnostic WHERE source = ? ORDER BY id");
  std::vector<SourceFile> files;
  while (statement.step()) {
    SourceFile file{statement.text(1), statement.text(2), statement.text(3), statement.text(4), {},
                    statement.text(5)};
    diagnostic.bind(1, statement.integer(0));
    while (diagnostic.step()) {
      const auto severity = diagnostic.as_enum(0, Severity::kError);
      if (!severity) return inside_->database.damaged("table diagnostic: a severity that there is not");
      file.diagnostics.push_back({*severity, file.name, static_cast<std::size_t>(diagnostic.integer(1)),
                                  static_cast<std::size_t>(diagnostic.integer(2)), diagnostic.text(3),
                                  diagnostic.text(4)});
    }
    if (!diagnostic.ok()) return inside_->database.error();
    diagnostic.reset();
    files.push_back(std::move(file));
  }
  if (!statement.ok()) return inside_->database.error();
  return files;
}

Result<std::vector<KeptDisagreement>> Bench::disagreements(std::int64_t board) {
  Statement statement(inside_->database,
                      "SELECT kind, what, says, net FROM disagreement WHERE board = ? ORDER BY id");
  statement.bind(1, board);
  std::vector<KeptDisagreement> list;
  while (statement.step())
    list.push_back({statement.text(0), statement.text(1), statement.text(2), statement.text(3)});
  if (!statement.ok()) return inside_->database.error();
  return list;
}

Result<std::optional<std::int64_t>> Bench::board_of_content(const std::string& hash) {
  Statement statement(inside_->database, "SELECT board FROM source WHERE hash = ? ORDER BY id DESC LIMIT 1");
  if (statement.bind(1, std::string_view(hash)).step()) return std::optional(statement.integer(0));
  if (!statement.ok()) return inside_->database.error();
  return std::optional<std::int64_t>();
}

Result<std::vector<NameRule>> Bench::rules(std::int64_t board) {
  Statement statement(
      inside_->database,
      "SELECT id, pattern, class, bus, lane, channel FROM name_rule WHERE board = ? ORDER BY id");
  statement.bind(1, board);
  std::vector<NameRule> rules;
  while (statement.step()) {
    NameRule rule{statement.integer(0), statement.text(1), std::nullopt,
                  statement.text(3),    statement.text(4), statement.text(5)};
    if (!statement.is_null(2)) {
      rule.signal_class = statement.as_enum(2, SignalClass::kUnknown);
      if (!rule.signal_class) {
        return inside_->database.damaged(
            fmt::format("table name_rule, row {}: a class that there is not", rule.id));
      }
    }
    rules.push_back(std::move(rule));
  }
  if (!statement.ok()) return inside_->database.error();
  return rules;
}

}  // namespace landfall::store
