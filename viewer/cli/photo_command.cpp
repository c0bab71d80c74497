#include <memory>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include "viewer/app/photos.hpp"
#include "viewer/cli/context.hpp"
#include "viewer/cli/photo_words.hpp"
#include "viewer/cli/words.hpp"
#include "viewer/report/picture_file.hpp"
#include "viewer/scene/photo_scene.hpp"

// photo: pictures of a job's board, and where they lie on it.

namespace landfall::cli {
namespace {

Json photo_json(const app::LaidPhoto& laid) {
  const Photo& photo = laid.photo;
  Json matches = Json::array();
  for (std::size_t i = 0; i < photo.matches.size(); ++i) {
    const PhotoMatch& match = photo.matches[i];
    matches.push_back({{"site", match.site},
                       {"x", match.x},
                       {"y", match.y},
                       {"off_um", laid.fit ? Json(laid.fit->off_um[i]) : Json(nullptr)}});
  }
  Json lies = nullptr;
  if (laid.fit) {
    lies = {{"fit", word(laid.fit->kind)},
            {"mirrored", laid.mirrored},
            {"rms_um", laid.fit->rms_um},
            {"other_hand_rms_um", laid.fit->other_hand_um ? Json(*laid.fit->other_hand_um) : Json(nullptr)},
            {"checked", laid.fit->checked},
            {"um_a_pixel", laid.fit->pixel_um}};
  }
  return {{"photo", photo.number},    {"format", photo.format == PhotoFormat::kPng ? "png" : "jpeg"},
          {"width", photo.width},     {"height", photo.height},
          {"side", word(photo.side)}, {"note", name_or_null(photo.note)},
          {"added", photo.at},        {"lies", lies},
          {"says", laid.says},        {"matches", matches}};
}

void run_add(Context& context, const PhotoArgs& args) {
  const auto open = open_job(context, args);
  if (!open) return;
  std::optional<Side> side;
  if (!args.side.empty()) side = args.side == "bottom" ? Side::kBottom : Side::kTop;
  const auto added = app::add_photo(*context.bench(), *open->board, open->job, args.file, args.note, side);
  if (!added.ok()) return context.fail(added.error());
  const Photo& photo = added->photo;
  if (context.json) {
    Json answer = photo_json(app::lay(*open->board, photo));
    answer["had"] = added->had;
    return context.print(answer);
  }
  if (added->had)
    return context.say(fmt::format("job {} has this picture already: photo {}", open->job.id, photo.number));
  context.say(fmt::format(
      "job {}: photo {}, {} x {} pixels of the {} side. Its pixels are kept, nothing else: "
      "no place, time, camera or file name.",
      open->job.id, context.bold(std::to_string(photo.number)), photo.width, photo.height, word(photo.side)));
}

void run_list(Context& context, const PhotoArgs& args) {
  const auto open = open_job(context, args);
  if (!open) return;
  const auto photos = context.bench()->photos(open->job.id);
  if (!photos.ok()) return context.fail(photos.error());
  Json list = Json::array();
  Table table({"no", "pixels", "side", "added", "note", "lies"});
  for (const Photo& photo : *photos) {
    const app::LaidPhoto laid = app::lay(*open->board, photo);
    list.push_back(photo_json(laid));
    table.row({std::to_string(photo.number), fmt::format("{} x {}", photo.width, photo.height),
               std::string(word(photo.side)), photo.at, photo.note, laid.says});
  }
  if (context.json) return context.print({{"job", open->job.id}, {"photos", list}});
  if (table.empty()) return context.say("No photos yet. landfall photo add JOB FILE adds one.");
  table.print(context);
}

void run_align(Context& context, const PhotoArgs& args) {
  const auto open = open_job(context, args);
  if (!open) return;
  auto* bench = context.bench();
  const auto photo = bench->photo(open->job.id, args.number);
  if (!photo.ok()) return context.fail(photo.error());
  const auto matches = app::parse_matches(*open->board, open->job, *photo, args.matches);
  if (!matches.ok()) return context.fail(matches.error());
  Photo tried = *photo;
  if (!matches->empty()) {
    tried.matches = *matches;
    tried.fit = PhotoFit::kEither;
    if (args.fit == "similarity") tried.fit = PhotoFit::kSimilarity;
    if (args.fit == "perspective") tried.fit = PhotoFit::kPerspective;
    // What cannot be fitted is refused, and the matches that were there stay.
    if (const auto fit = app::fit_of(*open->board, tried); !fit.ok()) return context.fail(fit.error());
    if (auto kept = bench->match_photo(open->job.id, args.number, tried.fit, tried.matches, app::now_utc());
        !kept.ok())
      return context.fail(kept.error());
  }
  const app::LaidPhoto laid = app::lay(*open->board, std::move(tried));
  if (!laid.fit) context.exit = 1;
  if (context.json) return context.print(photo_json(laid));
  context.say(fmt::format("photo {}: {}", args.number, laid.says));
  if (!laid.fit) return;
  if (laid.mirrored)
    context.say("It shows the board in a mirror; it is laid turned over, so that each land is in its place.");
  Table table({"land", "x", "y", "off"});
  for (std::size_t i = 0; i < laid.photo.matches.size(); ++i) {
    const PhotoMatch& match = laid.photo.matches[i];
    table.row({match.site, fmt::format("{:.1f}", match.x), fmt::format("{:.1f}", match.y),
               fmt::format("{:.0f} um", laid.fit->off_um[i])});
  }
  table.print(context);
}

void run_save(Context& context, const PhotoArgs& args) {
  const auto open = open_job(context, args);
  if (!open) return;
  if (auto saved = app::save_photo(*context.bench(), open->job.id, args.number, args.file); !saved.ok())
    return context.fail(saved.error());
  if (context.json) return context.print({{"photo", args.number}, {"file", args.file}});
  context.say(fmt::format("{}: photo {}", args.file, args.number));
}

void run_lay(Context& context, const PhotoArgs& args) {
  const auto open = open_job(context, args);
  if (!open) return;
  const auto laid = app::lay(*context.bench(), *open->board, open->job.id, args.number);
  if (!laid.ok()) return context.fail(laid.error());
  if (!laid->fit)
    return context.fail({ErrorCode::kNotFound, fmt::format("photo {}: {}", args.number, laid->says)});
  const auto picture = app::photo_picture(*context.bench(), open->job.id, args.number);
  if (!picture.ok()) return context.fail(picture.error());
  const auto lands = app::lands_seen(*open->board, open->job, *laid);
  scene::PhotoInput in;
  in.board = open->board.get();
  in.job = &open->job;
  in.laid = &*laid;
  in.lands = &lands;
  in.scale = scene::photo_scale(laid->photo);
  if (auto written = report::write_over(*picture, scene::photo_shapes(in), in.scale, args.file);
      !written.ok())
    return context.fail(written.error());
  if (context.json)
    return context.print({{"photo", args.number}, {"file", args.file}, {"lands", lands.size()}});
  context.say(fmt::format("{}: {} over photo {}; {}", args.file, count_of(lands.size(), "land"), args.number,
                          laid->says));
}

void run_rub(Context& context, const PhotoArgs& args) {
  const auto open = open_job(context, args);
  if (!open) return;
  if (auto gone = context.bench()->rub_photo(open->job.id, args.number, app::now_utc()); !gone.ok())
    return context.fail(gone.error());
  if (context.json) return context.print({{"photo", args.number}, {"rubbed", true}});
  context.say(
      fmt::format("photo {} of job {} is rubbed out; this cannot be undone", args.number, open->job.id));
}

}  // namespace

std::optional<OpenJob> open_job(Context& context, const PhotoArgs& args) {
  auto* bench = context.bench();
  if (bench == nullptr) return std::nullopt;
  auto job = app::find_job(*bench, args.job);
  if (!job.ok()) {
    context.fail(job.error());
    return std::nullopt;
  }
  auto board = app::open_board(*bench, job->board);
  if (!board.ok()) {
    context.fail(board.error());
    return std::nullopt;
  }
  return OpenJob{std::move(job).value(), std::move(board).value()};
}

void add_photo_commands(CLI::App& app, Context& context) {
  Context* c = &context;
  auto args = std::make_shared<PhotoArgs>();
  auto* photo = app.add_subcommand("photo", "pictures of a job's board, and where they lie on it");
  photo->require_subcommand(1);
  const auto on = [&](const char* name, const char* help, bool one, auto action) {
    auto* command = photo->add_subcommand(name, help);
    command->add_option("job", args->job, "number, or how its title begins")->required();
    if (one) command->add_option("number", args->number, "the photo's number")->required();
    command->callback([=] { action(*c, *args); });
    return command;
  };
  auto* add = on("add", "keep a PNG or JPEG file's pixels with the job", false, run_add);
  add->add_option("file", args->file, "the picture")->required();
  add->add_option("--note", args->note, "in your words");
  add->add_option("--side", args->side, "the board's side that it shows; else that of the lifted part")
      ->check(CLI::IsMember({"top", "bottom"}));
  on("list", "the job's photos", false, run_list);
  auto* align =
      on("align", "lay it on the board by lands that you found in it, or say how it lies", true, run_align);
  align->add_option("--match", args->matches, "BALL=X,Y or PART.PIN=X,Y in pixels; three or four, far apart");
  align
      ->add_option("--fit", args->fit,
                   "similarity (from straight above) or perspective (slanted, four at least)")
      ->check(CLI::IsMember({"similarity", "perspective"}));
  on("save", "its pixels as a file", true, run_save)
      ->add_option("file", args->file, "FILE.png or .jpg")
      ->required();
  on("lay", "the lands and marks drawn over it", true, run_lay)
      ->add_option("file", args->file, "FILE.png, .svg or .pdf")
      ->required();
  on("rub", "rub it out, for good", true, run_rub);
  add_proposal_commands(*photo, context, args);
}

}  // namespace landfall::cli
