#include <algorithm>
#include <memory>
#include <utility>

#include <CLI/CLI.hpp>
#include <fmt/format.h>
#include <fmt/ranges.h>

#include "netdb/model/ball_name.hpp"
#include "netdb/model/counted.hpp"
#include "netdb/packages/packages.hpp"
#include "viewer/app/import.hpp"
#include "viewer/app/paste.hpp"
#include "viewer/cli/context.hpp"
#include "viewer/cli/interrupt.hpp"
#include "viewer/cli/words.hpp"

// import, board, diagnostics, parts, pins.

namespace landfall::cli {
namespace {

using app::OpenBoard;

Json diagnostic_json(const Diagnostic& d) {
  return {{"file", d.file}, {"line", d.line}, {"column", d.column}, {"code", d.code}, {"message", d.message}};
}

std::string size_text(std::size_t parts, std::size_t pins, std::size_t nets) {
  return fmt::format("{}, {}, {}", count_of(parts, "part"), count_of(pins, "pin"), count_of(nets, "net"));
}

void print_report(const Context& context, const app::ImportReport& report, bool looked) {
  std::size_t warnings = 0;
  for (const auto& source : report.sources) warnings += source.diagnostics.size();
  if (context.json) {
    Json formats = Json::array();
    Json list = Json::array();
    for (const auto& source : report.sources) {
      formats.push_back(source.format);
      for (const Diagnostic& d : source.diagnostics) list.push_back(diagnostic_json(d));
    }
    Json disagreements = Json::array();
    for (const auto& d : report.disagreements) disagreements.push_back(disagreement_json(d));
    context.print({{"board", report.board.name},
                   {"id", report.board.id},
                   {"format", formats.size() == 1 ? formats[0] : formats},
                   {"parts", report.board.parts},
                   {"pins", report.board.pins},
                   {"nets", report.board.nets},
                   {"unchanged", report.unchanged},
                   {"kept", !looked && !report.unchanged},
                   {"warnings", list},
                   {"disagreements", disagreements},
                   {"notes", report.notes}});
    return;
  }
  context.say(fmt::format(
      "{}{}: {}{}", context.bold(report.board.name),
      report.unchanged ? " (these files were there already)" : "",
      size_text(static_cast<std::size_t>(report.board.parts), static_cast<std::size_t>(report.board.pins),
                static_cast<std::size_t>(report.board.nets)),
      looked ? ", as it would be; nothing is kept" : ""));
  for (const auto& source : report.sources) {
    context.say(fmt::format(
        "  {}: {}{}{}", source.name, source.format, source.version.empty() ? "" : " " + source.version,
        source.diagnostics.empty() ? "" : ", " + count_of(source.diagnostics.size(), "warning")));
    // Half a file is too grave to stand among the warnings alone.
    for (const Diagnostic& d : source.diagnostics) {
      if (d.code == "no-end" || d.code == "cut-off") context.say("  ! " + placed(d));
    }
  }
  for (const std::string& note : report.notes) context.say("  " + note);
  if (looked) return;
  if (!report.disagreements.empty()) {
    context.say(fmt::format("  {} between the files: landfall check {}",
                            count_of(report.disagreements.size(), "disagreement"), report.board.name));
  }
  if (warnings > 0)
    context.say(fmt::format("  what was skipped or doubted: landfall diagnostics {}", report.board.name));
}

void run_import(Context& context, app::ImportRequest request, const std::vector<std::string>& files,
                const std::string& into) {
  auto* bench = context.bench();
  if (bench == nullptr) return;
  for (const std::string& file : files) request.files.emplace_back(file);
  if (!into.empty()) {
    const auto info = app::find_board(*bench, into);
    if (!info.ok()) return context.fail(info.error());
    request.into = info->id;
  }
  const Interrupt interrupt;
  request.on_step = [&](const app::ImportStep&) { return !interrupt.came(); };
  const auto report = app::import_files(*bench, request);
  if (!report.ok()) return context.fail(report.error());
  print_report(context, *report, request.look);
}

// What each column of a ball list is for.
Json show_columns(const Context& context, const std::vector<importers::ListColumn>& columns) {
  Json list = Json::array();
  for (std::size_t i = 0; i < columns.size(); ++i) {
    const importers::ListColumn& column = columns[i];
    list.push_back({{"column", i + 1},
                    {"heading", name_or_null(column.heading)},
                    {"use", importers::word(column.use)},
                    {"balls", column.balls},
                    {"first", column.first}});
    if (context.json) continue;
    const bool other = column.use != importers::ColumnUse::kBall && column.balls > 0;
    context.say(fmt::format(
        "  column {}{}: {}{}, such as {}", i + 1,
        column.heading.empty() ? "" : fmt::format(" \"{}\"", column.heading), app::use_text(column.use),
        other ? fmt::format(" ({} of another package)", count_of(column.balls, "ball")) : "",
        fmt::join(column.first, ", ")));
  }
  return list;
}

// What an import would understand.
void run_look(Context& context, const std::vector<std::string>& files, const importers::ReadOptions& read) {
  constexpr std::size_t kShown = 12;
  Json list = Json::array();
  for (const std::string& file : files) {
    const auto bytes = app::read_file(file);
    if (!bytes.ok()) return context.fail(bytes.error());
    Diagnostics log;
    const auto design = importers::read_design(*bytes, file, log, read);
    if (!design.ok()) return context.fail(design.error());
    const Board& board = design->board;
    std::vector<importers::ListColumn> columns;
    if (design->format == "ball-list") columns = app::look_at_table(*bytes, read).columns;
    Json warnings = Json::array();
    for (const Diagnostic& d : log.folded()) warnings.push_back(diagnostic_json(d));
    Json rows = Json::array();
    Table table({"part", "pin", "name", "net"});
    for (std::size_t i = 0; i < board.pins.size() && i < kShown; ++i) {
      const Pin& pin = board.pins[i];
      const std::string net = net_name(board, pin.net);
      const std::string& reference = board.parts[pin.part].reference;
      rows.push_back(
          {{"part", reference}, {"pin", pin.number}, {"function", pin.function}, {"net", name_or_null(net)}});
      table.row({reference, pin.number, pin.function, net});
    }
    if (context.json) {
      list.push_back({{"file", file},
                      {"columns", show_columns(context, columns)},
                      {"format", design->format},
                      {"parts", board.parts.size()},
                      {"pins", board.pins.size()},
                      {"nets", board.nets.size()},
                      {"notes", design->notes},
                      {"first", rows},
                      {"warnings", warnings}});
      continue;
    }
    context.say(fmt::format("{}: {}, {}; nothing is kept", context.bold(file), design->format,
                            size_text(board.parts.size(), board.pins.size(), board.nets.size())));
    for (const std::string& note : design->notes) context.say("  " + note);
    show_columns(context, columns);
    if (!columns.empty())
      context.say(fmt::format("  to change that: --columns {}", app::columns_option(columns)));
    table.print(context);
    if (board.pins.size() > kShown) context.say(fmt::format("... and {} more", board.pins.size() - kShown));
    for (const Diagnostic& d : log.folded())
      context.say(fmt::format("  line {}, column {}: {}", d.line, d.column, d.message));
  }
  if (context.json) context.print({{"looked", list}});
}

void run_board_list(Context& context) {
  auto* bench = context.bench();
  if (bench == nullptr) return;
  const auto boards = bench->boards();
  if (!boards.ok()) return context.fail(boards.error());
  if (context.json) {
    Json list = Json::array();
    for (const auto& b : *boards) {
      list.push_back({{"id", b.id},
                      {"name", b.name},
                      {"parts", b.parts},
                      {"pins", b.pins},
                      {"nets", b.nets},
                      {"jobs", b.jobs},
                      {"formats", b.formats},
                      {"imported", b.imported}});
    }
    return context.print({{"boards", list}});
  }
  if (boards->empty()) return context.say("No boards yet. landfall import FILE reads one.");
  Table table({"no", "board", "parts", "pins", "nets", "jobs", "from"});
  for (const auto& b : *boards) {
    std::string formats;
    for (const std::string& f : b.formats) formats += (formats.empty() ? "" : ", ") + f;
    table.row({std::to_string(b.id), b.name, std::to_string(b.parts), std::to_string(b.pins),
               std::to_string(b.nets), std::to_string(b.jobs), formats});
  }
  table.print(context);
}

void run_board_new(Context& context, const std::string& name, const std::string& size,
                   const std::string& pitch) {
  auto* bench = context.bench();
  if (bench == nullptr) return;
  const auto by = size.find_first_of("xX");
  constexpr std::int64_t kMost = 999;
  const auto number = [](std::string_view digits) { return parse_integer(digits).value_or(kMost + 1); };
  const std::int64_t rows = number(std::string_view(size).substr(0, by));
  const std::int64_t columns = number(by == std::string::npos ? "" : std::string_view(size).substr(by + 1));
  const auto step = parse_mm(pitch);
  if (rows > kMost || columns > kMost) {
    return context.fail({ErrorCode::kUsage, fmt::format("{}: rows and columns are written 22x22", size)});
  }
  if (!step)
    return context.fail(
        {ErrorCode::kUsage, fmt::format("{}: the pitch is a length in mm, such as 0.8", pitch)});
  const auto board = packages::bare_board(static_cast<int>(rows), static_cast<int>(columns), *step);
  if (!board.ok()) return context.fail(board.error());
  const auto id = bench->keep_board(name, *board, {{}, {}, app::now_utc()});
  if (!id.ok()) return context.fail(id.error());
  if (context.json) return context.print({{"board", name}, {"id", *id}, {"balls", board->pins.size()}});
  context.say(fmt::format("{}: a bare package U1 of {} x {} balls", name, rows, columns));
}

void run_board_remove(Context& context, const std::string& text, bool with_jobs) {
  auto* bench = context.bench();
  if (bench == nullptr) return;
  const auto info = app::find_board(*bench, text);
  if (!info.ok()) return context.fail(info.error());
  const auto removed = bench->remove_board(info->id, with_jobs);
  if (!removed.ok()) {
    Error error = removed.error();
    if (error.code == ErrorCode::kChoice) error.message += "; --with-jobs removes them too";
    return context.fail(error);
  }
  if (context.json) return context.print({{"removed", info->name}});
  context.say(fmt::format("{} removed", info->name));
}

void run_diagnostics(Context& context, const std::string& text) {
  auto* bench = context.bench();
  if (bench == nullptr) return;
  const auto info = app::find_board(*bench, text);
  if (!info.ok()) return context.fail(info.error());
  const auto sources = bench->sources(info->id);
  if (!sources.ok()) return context.fail(sources.error());
  Json files = Json::array();
  for (const auto& source : *sources) {
    Json list = Json::array();
    for (const Diagnostic& d : source.diagnostics) list.push_back(diagnostic_json(d));
    files.push_back(
        {{"file", source.name}, {"format", source.format}, {"version", source.version}, {"warnings", list}});
    if (context.json) continue;
    context.say(context.bold(fmt::format("{} ({}{})", source.name, source.format,
                                         source.version.empty() ? "" : " " + source.version)));
    if (source.diagnostics.empty()) context.say("  nothing was skipped or doubted");
    for (const Diagnostic& d : source.diagnostics) context.say(fmt::format("  {} [{}]", placed(d), d.code));
  }
  if (context.json) context.print({{"board", info->name}, {"files", files}});
}

std::size_t nets_of_part(const OpenBoard& board, Index part) {
  std::vector<Index> nets;
  for (const Index pin : board.index().pins_of_part(part)) nets.push_back(board.board().pins[pin].net);
  std::sort(nets.begin(), nets.end());
  nets.erase(std::unique(nets.begin(), nets.end()), nets.end());
  return nets.size() - (std::binary_search(nets.begin(), nets.end(), kNone) ? 1 : 0);
}

void run_parts(Context& context, const std::string& text) {
  auto* bench = context.bench();
  if (bench == nullptr) return;
  const auto board = app::open_board(*bench, text);
  if (!board.ok()) return context.fail(board.error());
  const OpenBoard& open = **board;
  std::vector<Index> order = packages::area_arrays(open.index());
  const std::size_t arrays = order.size();
  for (Index i = 0; i < open.board().parts.size(); ++i) {
    if (std::find(order.begin(), order.begin() + static_cast<std::ptrdiff_t>(arrays), i) ==
        order.begin() + static_cast<std::ptrdiff_t>(arrays)) {
      order.push_back(i);
    }
  }
  std::sort(order.begin() + static_cast<std::ptrdiff_t>(arrays), order.end(), [&](Index a, Index b) {
    return natural_less(open.board().parts[a].reference, open.board().parts[b].reference);
  });
  Json list = Json::array();
  Table table({"part", "value", "pins", "nets", "side", "grid", "pitch mm"});
  for (std::size_t i = 0; i < order.size(); ++i) {
    const Part& part = open.board().parts[order[i]];
    const std::size_t pins = open.index().pins_of_part(order[i]).size();
    const std::size_t nets = nets_of_part(open, order[i]);
    Json entry{{"part", part.reference}, {"value", part.value},     {"pins", pins},
               {"nets", nets},           {"side", word(part.side)}, {"fitted", part.fitted}};
    std::string grid;
    std::string pitch;
    if (i < arrays) {
      const Package package = packages::package_of(open.index(), order[i]);
      grid =
          fmt::format("{}, {} x {}", count_of(package.sites.size(), "ball"), package.rows, package.columns);
      pitch = mm_text(package.pitch_x);
      if (package.pitch_y != package.pitch_x) pitch += " x " + mm_text(package.pitch_y);
      entry["balls"] = package.sites.size();
      entry["rows"] = package.rows;
      entry["columns"] = package.columns;
      entry["pitch_mm"] = {static_cast<double>(package.pitch_x) / kNmPerMm,
                           static_cast<double>(package.pitch_y) / kNmPerMm};
      entry["turn"] = package.angle;
      entry["side"] = word(package.side);
      entry["disagreements"] = package.disagreements;
    }
    list.push_back(std::move(entry));
    table.row({part.reference, part.value, std::to_string(pins), std::to_string(nets),
               part.placed ? std::string(word(part.side)) : "", grid, pitch});
  }
  if (context.json) return context.print({{"board", open.info().name}, {"parts", list}});
  table.print(context);
}

void run_pins(Context& context, const std::string& text, const std::string& part_text) {
  auto* bench = context.bench();
  if (bench == nullptr) return;
  const auto board = app::open_board(*bench, text);
  if (!board.ok()) return context.fail(board.error());
  const OpenBoard& open = **board;
  Index only = kNone;
  if (!part_text.empty()) {
    const auto part = app::find_part(open, part_text);
    if (!part.ok()) return context.fail(part.error());
    only = *part;
  }
  std::vector<Index> pins;
  for (Index i = 0; i < open.board().pins.size(); ++i) {
    if (only == kNone || open.board().pins[i].part == only) pins.push_back(i);
  }
  const auto& b = open.board();
  std::sort(pins.begin(), pins.end(), [&](Index x, Index y) {
    const std::string& rx = b.parts[b.pins[x].part].reference;
    const std::string& ry = b.parts[b.pins[y].part].reference;
    return rx != ry ? natural_less(rx, ry) : natural_less(b.pins[x].number, b.pins[y].number);
  });
  Json list = Json::array();
  for (const Index pin : pins) {
    const Pin& p = b.pins[pin];
    const std::string net = net_name(b, p.net);
    if (context.json) {
      list.push_back({{"part", b.parts[p.part].reference},
                      {"pin", p.number},
                      {"net", name_or_null(net)},
                      {"function", name_or_null(p.function)}});
    } else {
      context.say(fmt::format("{}\t{}\t{}", b.parts[p.part].reference, p.number, net));
    }
  }
  if (context.json) context.print({{"board", open.info().name}, {"pins", list}});
}

}  // namespace

void add_board_commands(CLI::App& app, Context& context) {
  // The values of options live as long as the callbacks that use them.
  struct Args {
    std::vector<std::string> files;
    std::string name, into, board, part, size, pitch;
    importers::ReadOptions read;
    bool with_jobs = false, look = false, add = false, replace = false;
  };
  auto args = std::make_shared<Args>();
  Context* c = &context;
  auto* reads = app.add_subcommand("import", "read design files of one board");
  reads
      ->add_option(
          "files", args->files,
          "boards (KiCad, IPC-2581), netlists (KiCad, IPC-D-356), ball lists, libraries; all of one design,"
          " or a folder or archive of them")
      ->required();
  reads->add_option("--name", args->name, "the board's name (default: the fullest file's)");
  reads->add_option("--into", args->into, "a board to which the files are added, or which they revise");
  reads->add_option("--part", args->part, "of which part a list is; a new one is known by it alone");
  reads->add_flag("--look", args->look,
                  "show what is understood, with --into what would change, and keep nothing");
  auto* add = reads->add_flag("--add", args->add, "a list's names go onto its part, all else of it stays");
  reads->add_flag("--replace", args->replace, "a list is all that is known of its part, whatever goes")
      ->excludes(add);
  reads->add_option("--package", args->read.package, "which one, where a file has several packages");
  reads->add_option("--view", args->read.view, "from where a ball grid without numbers is drawn")
      ->check(CLI::IsMember({"top", "bottom"}));
  reads->add_option("--units", args->read.units, "units of a test netlist that misstates its own")
      ->check(CLI::IsMember({"mm", "inch"}));
  reads->add_option("--columns", args->read.columns,
                    "BALL,NAME of a ball list, by number or heading; or each column's use: name,-,ball,type");
  reads->callback([=] {
    if (args->look && args->into.empty()) {
      run_look(*c, args->files, args->read);
      return;
    }
    app::ImportRequest request;
    request.read = args->read;
    request.name = args->name;
    request.part = args->part;
    request.look = args->look;
    if (args->add) request.wish = app::ListWish::kAdd;
    if (args->replace) request.wish = app::ListWish::kReplace;
    run_import(*c, std::move(request), args->files, args->into);
  });

  auto* board = app.add_subcommand("board", "the boards on this bench");
  board->require_subcommand(1);
  board->add_subcommand("list", "all boards")->callback([=] { run_board_list(*c); });
  auto* fresh = board->add_subcommand("new", "a bare package, when nothing but the chip is known");
  fresh->add_option("name", args->name, "the board's name")->required();
  fresh->add_option("--package", args->size, "rows x columns, such as 22x22")->required();
  fresh->add_option("--pitch", args->pitch, "from ball to ball, in mm")->required();
  fresh->callback([=] { run_board_new(*c, args->name, args->size, args->pitch); });
  auto* remove = board->add_subcommand("remove", "take a board off the bench");
  remove->add_option("board", args->board, "name or number")->required();
  remove->add_flag("--with-jobs", args->with_jobs, "its jobs go with it");
  remove->callback([=] { run_board_remove(*c, args->board, args->with_jobs); });

  const auto on_board = [&](const char* name, const char* help,
                            void (*action)(Context&, const std::string&)) {
    auto* command = app.add_subcommand(name, help);
    command->add_option("board", args->board, "name or number")->required();
    command->callback([=] { action(*c, args->board); });
  };
  on_board("diagnostics", "what was skipped or doubted while reading, file by file", run_diagnostics);
  on_board("parts", "the board's parts, area arrays first", run_parts);
  auto* pins = app.add_subcommand("pins", "part, pin and net, one line each");
  pins->add_option("board", args->board, "name or number")->required();
  pins->add_option("part", args->part, "only this part's");
  pins->callback([=] { run_pins(*c, args->board, args->part); });
}

}  // namespace landfall::cli
