#include "viewer/sdl/program.hpp"

#include <chrono>
#include <exception>
#include <system_error>
#include <vector>

#include <fmt/format.h>

#include "viewer/report/job_sheets.hpp"
#include "viewer/sdl/window.hpp"

namespace landfall::sdl {
namespace {

struct Arguments {
  std::filesystem::path bench = app::default_bench_file();
  WindowOptions options;
  std::vector<std::string> what;
  bool help = false;
  std::string wrong;
};

Arguments read_arguments(int argc, char** argv) {
  Arguments arguments;
  arguments.options.config = app::config_folder();
  for (int i = 1; i < argc; ++i) {
    const std::string word = argv[i];
    const bool more = i + 1 < argc;
    if (word == "--bench" && more) {
      arguments.bench = argv[++i];
    } else if (word == "--renderer" && more) {
      arguments.options.renderer = argv[++i];
    } else if (word == "--scale" && more) {
      const auto scale = parse_decimal(argv[++i]);
      if (!scale || *scale < 0.5 || *scale > 4) arguments.wrong = "--scale is a number from 0.5 to 4";
      arguments.options.scale = scale.value_or(0);
    } else if (word == "--timing") {
      arguments.options.timing = true;
    } else if (word == "--help" || word == "-h") {
      arguments.help = true;
    } else if (word.starts_with("--")) {
      arguments.wrong = word + " is no option, or lacks its value; --help lists them";
    } else {
      arguments.what.push_back(word);
    }
  }
  return arguments;
}

bool is_file(const std::string& word) {
  std::error_code failed;
  return std::filesystem::is_regular_file(word, failed);
}

// JOB, BOARD or BOARD PART.
Status open_what(app::Session& session, const std::vector<std::string>& what) {
  if (what.empty()) return done();
  if (what.size() == 1) {
    if (const auto job = app::find_job(*session.bench, what[0]); job.ok()) {
      app::apply(session, app::OpenJob{job->id});
      return done();
    }
  }
  const auto board = app::find_board(*session.bench, what[0]);
  if (!board.ok()) return board.error();
  app::apply(session, app::OpenPart{board->id, what.size() > 1 ? what[1] : ""});
  if (session.message_is_error) return Error{ErrorCode::kNotFound, session.message};
  return done();
}

Result<std::string> write_sheets(store::Bench& bench, const app::WriteSheets& wanted) {
  report::SheetsOrder order;
  order.job = std::to_string(wanted.job);
  order.file = wanted.file;
  order.settings.paper = wanted.letter ? report::Paper::kLetter : report::Paper::kA4;
  order.settings.date = app::now_utc();
  const auto written = report::write_sheets(bench, order);
  if (!written.ok()) return written.error();
  std::string text = report::says(*written);
  if (!written->numbers_kept) text += "; " + std::string(report::kNumbersNotKept);
  if (!written->rescued.empty()) text += "; " + written->rescued;
  if (written->safety_critical) text += ". " + std::string(rework::verdict::kSafetyReferral);
  return text;
}

int fail(const Error& error) {
  fmt::print(stderr, "landfall-viewer: {}\n", error.message);
  return app::exit_code(error.code);
}

constexpr const char* kHelp =
    "landfall-viewer [--bench FILE] [--scale N] [--renderer NAME] [--timing] [JOB | BOARD [PART] | FILE...]\n"
    "The window. FILEs are design files of one board, which are read. --scale: pixels a unit, 1 to 2 on "
    "most\n"
    "screens. --renderer: opengl, opengles2, software. F1 in the window lists the keys; landfall --help "
    "tells the rest.\n";

}  // namespace

int run(int argc, char** argv) {
  try {
    const auto started = std::chrono::steady_clock::now();
    Arguments arguments = read_arguments(argc, argv);
    arguments.options.started = started;
    if (arguments.help) {
      fmt::print("{}", kHelp);
      return 0;
    }
    if (!arguments.wrong.empty()) return fail({ErrorCode::kUsage, arguments.wrong});
    auto session = app::start_session(arguments.bench);
    if (!session.ok()) return fail(session.error());
    session->write_sheets = write_sheets;
    session->preferences = app::load_preferences(arguments.options.config / "window");
    const bool files = !arguments.what.empty() && is_file(arguments.what.front());
    if (!files) {
      if (auto opened = open_what(*session, arguments.what); !opened.ok()) return fail(opened.error());
    }
    Window window(std::move(session).value(), std::move(arguments.options));
    if (!window.open())
      return fail(
          {ErrorCode::kNotFound, std::string("there is no screen to open a window on: ") + SDL_GetError()});
    if (files) {
      std::vector<std::filesystem::path> paths(arguments.what.begin(), arguments.what.end());
      window.take(app::ImportFiles{std::move(paths), std::nullopt});
    }
    window.run();
    return 0;
  } catch (const std::exception& error) {
    return fail({ErrorCode::kInput, error.what()});
  }
}

}  // namespace landfall::sdl
