#include <cmath>
#include <memory>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include "netdb/packages/packages.hpp"
#include "viewer/cli/context.hpp"
#include "viewer/cli/picture_words.hpp"
#include "viewer/report/picture_file.hpp"

// map: the ball map as a picture.

namespace landfall::cli {
namespace {

struct MapArgs {
  std::string board, part, file, face = "lands", job, scale, theme = "day";
  double turn = 0;
};

Result<scene::MapInput> map_input(const MapArgs& args) {
  scene::MapInput in;
  const std::string face = app::lower(args.face);
  if (face != "lands" && face != "balls") return Error{ErrorCode::kUsage, "--face is lands or balls"};
  in.face = face == "lands" ? scene::Face::kLands : scene::Face::kBalls;
  if (const auto asked = true_size(args.scale); !asked.ok()) return asked.error();
  const auto theme = theme_named(args.theme);
  if (!theme.ok()) return theme.error();
  in.theme = *theme;
  if (!std::isfinite(args.turn)) return Error{ErrorCode::kUsage, "--turn is an angle in degrees"};
  in.turn = normal_degrees(args.turn);
  return in;
}

void run_map(Context& context, const MapArgs& args) {
  auto* bench = context.bench();
  if (bench == nullptr) return;
  auto in = map_input(args);
  if (!in.ok()) return context.fail(in.error());
  const auto board = app::open_board(*bench, args.board);
  if (!board.ok()) return context.fail(board.error());
  const auto part = app::find_part(**board, args.part);
  if (!part.ok()) return context.fail(part.error());
  const Package package = packages::package_of((*board)->index(), *part);
  if (package.sites.empty()) return context.fail({ErrorCode::kNotFound, args.part + " has no pins to show"});
  if (!args.scale.empty() && !package.from_places) {
    return context.fail(
        {ErrorCode::kNotFound, args.part + ": its size is not known, only its names; leave --scale out"});
  }
  in->board = board->get();
  in->package = &package;
  app::JobAnswer answer;
  if (!args.job.empty()) {
    auto found = app::assess_job(*bench, args.job);
    if (!found.ok()) return context.fail(found.error());
    answer = std::move(found).value();
    if (answer.job.board != (*board)->info().id) {
      return context.fail({ErrorCode::kUsage, fmt::format("job {} is on another board", answer.job.id)});
    }
    in->job = &answer.job;
    in->assessment = &answer.assessment;
  }
  if (auto written = report::write_picture(scene::map_picture(*in, !args.scale.empty()), args.file);
      !written.ok()) {
    return context.fail(written.error());
  }
  if (context.json) return context.print({{"file", args.file}, {"balls", package.sites.size()}});
  context.say(
      fmt::format("{}: {}, {} face", args.file, (*board)->board().parts[*part].reference, word(in->face)));
}

}  // namespace

void add_map_command(CLI::App& app, Context& context) {
  auto args = std::make_shared<MapArgs>();
  Context* c = &context;
  auto* map = app.add_subcommand("map", "the ball map as a picture");
  map->add_option("board", args->board, "name or number")->required();
  map->add_option("part", args->part, "its reference")->required();
  map->add_option("-o,--output", args->file, "FILE.svg, .png or .pdf")->required();
  map->add_option("--face", args->face,
                  "lands (the board, the default) or balls (the chip's underside, mirrored)");
  map->add_option("--turn", args->turn, "degrees clockwise as seen");
  map->add_option("--job", args->job, "with this job's marks and needs");
  map->add_option("--scale", args->scale, "1:1 for true size on paper");
  map->add_option("--theme", args->theme, "day, night or strong");
  map->callback([=] { run_map(*c, *args); });
}

}  // namespace landfall::cli
