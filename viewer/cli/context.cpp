#include "viewer/cli/context.hpp"

#include <algorithm>
#include <cstdlib>
#include <exception>
#include <filesystem>
#include <new>
#include <system_error>

#include <fmt/format.h>
#ifndef _WIN32
#include <sys/ioctl.h>
#include <unistd.h>
#endif

#include <CLI/CLI.hpp>

#include "viewer/app/desk.hpp"

namespace landfall::cli {
namespace {

#ifdef _WIN32
bool on_terminal() {
  return false;
}
int terminal_width() {
  return 0;
}
#else
bool on_terminal() {
  return isatty(STDOUT_FILENO) == 1;
}
int terminal_width() {
  winsize size{};
  // NOLINTNEXTLINE(cppcoreguidelines-pro-type-vararg): the system call is so
  if (ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) == 0 && size.ws_col > 0) return size.ws_col;
  return 0;
}
#endif

// What a file's name may bring along: a line end or a terminal's command is shown, not sent.
std::string one_line(std::string_view text) {
  std::string line;
  for (const char c : text) {
    const auto byte = static_cast<unsigned char>(c);
    line += byte < 32 || byte == 127 ? fmt::format("\\x{:02X}", unsigned{byte}) : std::string(1, c);
  }
  return line;
}

// Signs, not bytes: the continuation bytes of UTF-8 take no column.
std::size_t shown_width(const std::string& text) {
  return static_cast<std::size_t>(std::count_if(
      text.begin(), text.end(), [](char c) { return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U; }));
}

// Text in lines of at most `width` signs, broken at blanks where that can be.
std::vector<std::string> broken(const std::string& text, std::size_t width) {
  std::vector<std::string> lines;
  std::string line;
  for (std::size_t at = 0; at < text.size();) {
    const auto end = std::min(text.find(' ', at), text.size());
    const std::string word = text.substr(at, end - at);
    if (!line.empty() && shown_width(line) + 1 + shown_width(word) > width) {
      lines.push_back(std::move(line));
      line.clear();
    }
    line += (line.empty() ? "" : " ") + word;
    at = end + 1;
  }
  lines.push_back(std::move(line));
  return lines;
}

}  // namespace

store::Bench* Context::bench() {
  if (bench_) return bench_.get();
  const auto file = bench_file.empty() ? app::default_bench_file() : bench_file;
  auto opened = store::Bench::open(file);
  if (!opened.ok()) {
    fail(opened.error());
    return nullptr;
  }
  bench_ = std::make_unique<store::Bench>(std::move(opened).value());
  if (bench_->read_only())
    fmt::print(stderr, "landfall: {}: opened read-only, for it may not be written\n", file.string());
  return bench_.get();
}

void Context::fail(const Error& error) {
  fmt::print(stderr, "landfall: {}\n", one_line(error.message));
  exit = app::exit_code(error.code);
}

void Context::say(const std::string& line) const {
  fmt::print("{}\n", line);
}

void Context::print(const Json& answer) const {
  // Names may hold bytes that are no UTF-8: they are replaced, not thrown over.
  fmt::print("{}\n", answer.dump(2, ' ', false, Json::error_handler_t::replace));
}

std::string Context::paint(const std::string& text, int colour_code) const {
  return colour ? fmt::format("\x1b[{}m{}\x1b[0m", colour_code, text) : text;
}

std::string Context::bold(const std::string& text) const {
  return paint(text, 1);
}

void Table::print(const Context& context) const {
  constexpr std::size_t kLeastLast = 24;
  std::size_t columns = head_.size();
  const auto column_empty = [&](std::size_t c) {
    return std::all_of(rows_.begin(), rows_.end(),
                       [c](const auto& row) { return c >= row.size() || row[c].empty(); });
  };
  while (columns > 1 && column_empty(columns - 1)) --columns;
  std::vector<std::size_t> widths(columns, 0);
  for (std::size_t c = 0; c < columns; ++c) {
    widths[c] = shown_width(head_[c]);
    for (const auto& row : rows_) {
      if (c < row.size()) widths[c] = std::max(widths[c], shown_width(row[c]));
    }
  }
  std::size_t before = 0;
  for (std::size_t c = 0; c + 1 < columns; ++c) before += widths[c] + 2;
  const auto terminal = static_cast<std::size_t>(std::max(context.width, 0));
  const std::size_t last =
      terminal > before + kLeastLast ? terminal - before : std::max(kLeastLast, terminal / 2);
  const auto line = [&](const std::vector<std::string>& row, bool head) {
    std::string text;
    for (std::size_t c = 0; c + 1 < columns; ++c) {
      const std::string cell = c < row.size() ? row[c] : "";
      text += cell + std::string(widths[c] - shown_width(cell) + 2, ' ');
    }
    const std::string cell = row.size() >= columns ? row[columns - 1] : "";
    const auto pieces = context.width > 0 ? broken(cell, last) : std::vector<std::string>{cell};
    for (std::size_t i = 0; i < pieces.size(); ++i) {
      std::string whole = i == 0 ? text + pieces[0] : std::string(before, ' ') + pieces[i];
      whole.resize(whole.find_last_not_of(' ') == std::string::npos ? 0 : whole.find_last_not_of(' ') + 1);
      context.say(head ? context.bold(whole) : whole);
    }
  };
  line(head_, true);
  for (const auto& row : rows_) line(row, false);
}

int run(int argc, const char* const* argv) {
  Context context;
  const bool terminal = on_terminal();
  context.colour = terminal && std::getenv("NO_COLOR") == nullptr;
  context.width = terminal ? terminal_width() : 0;
  CLI::App app{"landfall: what torn lands cost a board, and which wires mend it"};
  app.require_subcommand(1);
  app.fallthrough();
  std::string bench_file;
  app.add_option("--bench", bench_file, "the bench file (default: in your data folder)");
  app.add_flag("--json", context.json, "answer as JSON");
  app.set_version_flag("--version", LANDFALL_VERSION);
  // The callbacks of commands run last, when --bench is known wherever it stands.
  app.parse_complete_callback([&] { context.bench_file = bench_file; });
  add_board_commands(app, context);
  add_list_commands(app, context);
  add_signal_commands(app, context);
  add_answer_commands(app, context);
  add_job_commands(app, context);
  add_assess_command(app, context);
  add_check_command(app, context);
  add_plan_commands(app, context);
  add_verdict_command(app, context);
  add_settings_command(app, context);
  add_intake_command(app, context);
  add_reading_command(app, context);
  add_photo_commands(app, context);
  add_shelf_commands(app, context);
  add_sharing_commands(app, context);
  add_fact_commands(app, context);
  add_suspect_command(app, context);
  add_map_command(app, context);
  add_layout_command(app, context);
  add_report_command(app, context);
  add_rescue_command(app, context);
  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    if (error.get_exit_code() == 0) return app.exit(error);
    for (int i = 1; i < argc; ++i) {
      std::error_code failed;
      if (argv[i][0] == '-' && std::filesystem::exists(argv[i], failed)) {
        fmt::print(stderr, "landfall: {0} is read as options; ./{0} names the file\n", one_line(argv[i]));
        return 2;
      }
    }
    fmt::print(stderr, "landfall: {}; landfall --help tells more\n", one_line(error.what()));
    return 2;
  } catch (const std::bad_alloc&) {
    fmt::print(stderr, "landfall: there is not enough memory\n");
    return 3;
  } catch (const std::exception& error) {
    fmt::print(stderr, "landfall: {}\n", error.what());
    return 3;
  }
  return context.exit;
}

}  // namespace landfall::cli
