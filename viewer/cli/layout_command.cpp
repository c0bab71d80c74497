#include <memory>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include "viewer/cli/context.hpp"
#include "viewer/cli/picture_words.hpp"
#include "viewer/report/picture_file.hpp"
#include "viewer/scene/board_picture.hpp"

// layout: the whole board as a picture.

namespace landfall::cli {
namespace {

struct LayoutArgs {
  std::string board, file, side, net, part, ball, job, scale, theme = "day";
  bool all_copper = false;
};

Result<scene::BoardInput> layout_input(const LayoutArgs& args) {
  scene::BoardInput in;
  const std::string side = app::lower(args.side);
  if (!side.empty() && side != "top" && side != "bottom")
    return Error{ErrorCode::kUsage, "--side is top or bottom"};
  if (side == "bottom") in.side = Side::kBottom;
  if (const auto asked = true_size(args.scale); !asked.ok()) return asked.error();
  const auto theme = theme_named(args.theme);
  if (!theme.ok()) return theme.error();
  in.theme = *theme;
  in.every_track = args.all_copper;
  return in;
}

// What --part, --ball and --net name; without --side, the side on which the part lies.
Status choose(scene::BoardInput& in, const LayoutArgs& args, const app::OpenBoard& board) {
  if (!args.part.empty()) {
    const auto part = app::find_part(board, args.part);
    if (!part.ok()) return part.error();
    in.part = *part;
  }
  if (!args.ball.empty()) {
    const auto pin = app::find_pin(board, args.ball);
    if (!pin.ok()) return pin.error();
    in.pin = *pin;
    if (in.part == kNone) in.part = board.board().pins[*pin].part;
  }
  if (!args.net.empty()) {
    const auto net = app::find_net(board, args.net);
    if (!net.ok()) return net.error();
    in.net = *net;
  }
  if (in.job != nullptr && in.part == kNone && !in.job->lifted.empty())
    in.part = board.index().part(in.job->lifted.front());
  if (args.side.empty() && in.part != kNone && board.board().parts[in.part].placed)
    in.side = board.board().parts[in.part].side == Side::kBottom ? Side::kBottom : Side::kTop;
  return done();
}

void run_layout(Context& context, const LayoutArgs& args) {
  auto* bench = context.bench();
  if (bench == nullptr) return;
  auto in = layout_input(args);
  if (!in.ok()) return context.fail(in.error());
  const auto board = app::open_board(*bench, args.board);
  if (!board.ok()) return context.fail(board.error());
  if ((*board)->board().lands.empty()) {
    return context.fail(
        {ErrorCode::kNotFound,
         (*board)->info().name + ": its files give no places, only names; there is no layout"});
  }
  in->board = board->get();
  Job job;
  if (!args.job.empty()) {
    auto found = app::find_job(*bench, args.job);
    if (!found.ok()) return context.fail(found.error());
    job = std::move(found).value();
    if (job.board != (*board)->info().id)
      return context.fail({ErrorCode::kUsage, fmt::format("job {} is on another board", job.id)});
    in->job = &job;
  }
  if (const auto chosen = choose(*in, args, **board); !chosen.ok()) return context.fail(chosen.error());
  if (auto written = report::write_picture(scene::board_picture(*in, !args.scale.empty()), args.file);
      !written.ok()) {
    return context.fail(written.error());
  }
  if (context.json) {
    Json answer{{"file", args.file}, {"side", word(in->side)}};
    answer["part"] = in->part == kNone ? Json(nullptr) : Json((*board)->board().parts[in->part].reference);
    const Index net = in->net == kNone && in->pin != kNone ? (*board)->board().pins[in->pin].net : in->net;
    answer["net"] = net == kNone ? Json(nullptr) : Json((*board)->board().nets[net].name);
    return context.print(answer);
  }
  context.say(fmt::format("{}: {}, {} side", args.file, (*board)->info().name, word(in->side)));
}

}  // namespace

void add_layout_command(CLI::App& app, Context& context) {
  auto args = std::make_shared<LayoutArgs>();
  Context* c = &context;
  auto* layout = app.add_subcommand("layout", "the whole board as a picture");
  layout->add_option("board", args->board, "name or number")->required();
  layout->add_option("-o,--output", args->file, "FILE.svg, .png or .pdf")->required();
  layout->add_option("--side", args->side,
                     "top or bottom, which is mirrored (default: the part's side, else top)");
  layout->add_option("--part", args->part, "drawn strong, with its first corner");
  layout->add_option("--ball", args->ball, "PART.BALL: its place, and its net");
  layout->add_option("--net", args->net, "with its copper");
  layout->add_flag("--all-copper", args->all_copper, "with every track of the side");
  layout->add_option("--job", args->job, "with this job's lifted parts and marks");
  layout->add_option("--scale", args->scale, "1:1 for true size on paper");
  layout->add_option("--theme", args->theme, "day, night or strong");
  layout->callback([=] { run_layout(*c, *args); });
}

}  // namespace landfall::cli
