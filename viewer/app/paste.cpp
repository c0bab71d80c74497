#include "viewer/app/paste.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "viewer/app/session_inside.hpp"

// Looking at a pasted table, and the session's actions on one.

namespace landfall::app {
namespace {

constexpr std::size_t kFirstBalls = 12;

std::string problem_of(const Diagnostics& log, const importers::ReadOptions& options) {
  for (const Diagnostic& d : log.entries()) {
    if (d.severity != Severity::kError) continue;
    if (d.code != "choice") return d.message;
    return options.columns.empty()
               ? "Several columns have balls, one for each package: say which of them has this chip's."
               : "Each column of balls needs a column of names: say which.";
  }
  return "No balls were found in it.";
}

void look_again(Session& s, importers::ReadOptions options) {
  s.pasted->options = std::move(options);
  s.pasted->look = look_at_table(s.pasted->text, s.pasted->options);
}

}  // namespace

std::string_view use_text(importers::ColumnUse use) {
  switch (use) {
    case importers::ColumnUse::kSkipped:
      return "skipped";
    case importers::ColumnUse::kBall:
      return "balls";
    case importers::ColumnUse::kName:
      return "names";
    case importers::ColumnUse::kType:
      return "types of pins";
  }
  return "";
}

TableLook look_at_table(const std::string& text, const importers::ReadOptions& options) {
  TableLook look;
  const std::string_view format = importers::format_of(text);
  if (!format.empty() && format != "ball-list") {
    look.problem = fmt::format("This is no table but a file of the format {}: open it as a file.", format);
    return look;
  }
  if (format.empty()) {
    look.problem = text.empty() ? "Nothing was copied yet." : "No table: not a line of it has several words.";
    return look;
  }
  Diagnostics log;
  auto read = importers::look_at_ball_list(text, log, options);
  look.columns = std::move(read.columns);
  for (const Diagnostic& d : log.folded()) {
    if (d.severity != Severity::kError) look.doubts.push_back(d);
  }
  if (!read.design) {
    look.problem = problem_of(log, options);
    return look;
  }
  const Board& board = read.design->board;
  look.balls = board.pins.size();
  look.nets = board.nets.size();
  look.is_grid = read.design->version == "grid";
  look.notes = std::move(read.design->notes);
  for (std::size_t i = 0; i < board.pins.size() && i < kFirstBalls; ++i)
    look.first.push_back({board.pins[i].number, board.pins[i].function});
  return look;
}

std::string columns_option(const std::vector<importers::ListColumn>& columns) {
  std::string text;
  std::size_t words = 0;  // headings that are words for a use themselves
  std::size_t other = 0;  // and not for the column's own
  for (const importers::ListColumn& column : columns) {
    text += fmt::format("{}{}", text.empty() ? "" : ",", importers::word(column.use));
    const auto as_headed = importers::column_use(column.heading);
    words += as_headed ? 1U : 0U;
    other += as_headed && *as_headed != column.use ? 1U : 0U;
  }
  // Two headings of just these words are meant before uses: one more column makes it plain.
  if (columns.size() == 2 && words == 2 && other > 0) text += ",-";
  return text;
}

std::vector<importers::ListColumn> with_use(std::vector<importers::ListColumn> columns, std::size_t column,
                                            importers::ColumnUse use) {
  if (column >= columns.size() || columns[column].use == use) return columns;
  const auto was = columns[column].use;
  const auto holders =
      std::count_if(columns.begin(), columns.end(), [&](const auto& c) { return c.use == use; });
  const bool leads = use == importers::ColumnUse::kBall || use == importers::ColumnUse::kName;
  if (leads && holders == 1) {
    for (importers::ListColumn& other : columns) {
      if (other.use == use) other.use = was;
    }
  }
  columns[column].use = use;
  return columns;
}

void act(Session& s, const PasteTable& a) {
  if (s.import) return fail(s, {ErrorCode::kUsage, "An import runs already: wait for it, or stop it."});
  if (a.text.empty()) return fail(s, {ErrorCode::kUsage, "The clipboard holds no text: copy a table first."});
  s.pasted = Pasted{a.text, {}, {}};
  s.warnings.reset();
  s.bench_page = true;
  s.shaping = false;
  look_again(s, {});
  say(s, "Nothing is kept yet: look, then Accept.");
}

void act(Session& s, const UseColumn& a) {
  if (!s.pasted || a.column >= s.pasted->look.columns.size()) return;
  importers::ReadOptions options = s.pasted->options;
  const auto wanted = with_use(s.pasted->look.columns, a.column, a.use);
  options.columns = columns_option(wanted);
  look_again(s, std::move(options));
  // Where the user's columns make nothing, they stay on the page as the user set them.
  for (std::size_t i = 0; i < s.pasted->look.columns.size() && i < wanted.size(); ++i)
    s.pasted->look.columns[i].use = wanted[i].use;
}

void act(Session& s, const SeeTableFrom& a) {
  if (!s.pasted) return;
  importers::ReadOptions options = s.pasted->options;
  options.view = a.bottom ? "bottom" : "top";
  look_again(s, std::move(options));
}

void act(Session& s, const AcceptTable& a) {
  if (!s.pasted || s.import) return;
  if (!s.pasted->look.problem.empty()) return fail(s, {ErrorCode::kUsage, s.pasted->look.problem});
  ImportRequest request;
  request.texts.push_back({a.name.empty() ? "pasted table" : a.name, s.pasted->text});
  request.name = a.into ? "" : a.name;
  request.part = a.part;
  request.into = a.into;
  request.read = s.pasted->options;
  request.wish = ListWish::kCareful;
  s.import_files = {request.texts.front().name};
  say(s, "Reading. Nothing is kept until all is in.");
  s.import = std::make_shared<ImportTask>(s.bench_file, std::move(request), s.wake);
}

}  // namespace landfall::app
