#include <algorithm>

#include <fmt/format.h>

#include "netdb/model/counted.hpp"
#include "viewer/app/session_inside.hpp"

// The job's photos: which one shows, matching by clicks, proposals looked at one by one.

namespace landfall::app {
namespace {

constexpr const char* kNoPhotos = "No photos yet: drop a PNG or JPEG file on this window.";

// What belongs to the photo that shows.
void show_photo(Session& s, std::size_t at) {
  PhotoDesk& desk = *s.photos;
  desk.at = at;
  desk.picture.reset();
  desk.lands.clear();
  desk.matches.clear();
  desk.clicked.reset();
  desk.proposals.reset();
  const LaidPhoto* laid = desk.shown();
  if (laid == nullptr) return;
  desk.matches = laid->photo.matches;
  desk.lands = lands_seen(*s.board, *s.job, *laid);
  const auto picture = photo_picture(*s.bench, s.job->id, laid->photo.number);
  if (!picture.ok()) return fail(s, picture.error());
  desk.picture = std::make_shared<const photo::Picture>(photo::shrunk(*picture, kShownSide));
}

bool read_photos(Session& s) {
  const auto photos = s.bench->photos(s.job->id);
  if (!photos.ok()) {
    fail(s, photos.error());
    return false;
  }
  s.photos.emplace();
  for (const Photo& photo : *photos) s.photos->photos.push_back(lay(*s.board, photo));
  return true;
}

bool has_job(Session& s) {
  if (s.board && s.job) return true;
  fail(s, {ErrorCode::kUsage, "No job. A photo belongs to one: open it, or begin one."});
  return false;
}

void say_photo(Session& s) {
  const LaidPhoto& laid = *s.photos->shown();
  say(s, fmt::format("Photo {}: {}.", laid.photo.number, laid.says));
}

// Keeps the clicked matches where they fit; what does not fit yet stays on the desk.
void keep_matches(Session& s) {
  PhotoDesk& desk = *s.photos;
  LaidPhoto& laid = desk.photos[desk.at];
  Photo tried = laid.photo;
  tried.matches = desk.matches;
  tried.fit = PhotoFit::kEither;
  if (desk.matches.size() >= 2) {
    if (const auto fit = fit_of(*s.board, tried); !fit.ok()) return fail(s, fit.error());
  }
  if (desk.matches.size() == 1 && laid.photo.matches.empty())
    return say(s, "One land is matched. Two more at least, far apart: click the next in the picture.");
  const auto kept = s.bench->match_photo(s.job->id, laid.photo.number, tried.fit, tried.matches, now_utc());
  if (!kept.ok()) return fail(s, kept.error());
  laid = lay(*s.board, std::move(tried));
  desk.lands = lands_seen(*s.board, *s.job, laid);
  desk.proposals.reset();
  if (!laid.fit) s.photo_under = false;
  say_photo(s);
}

}  // namespace

void forget_photos(Session& s) {
  s.photos.reset();
  s.photo_page = false;
  s.photo_under = false;
}

void act(Session& s, const ShowPhotos&) {
  if (!has_job(s)) return;
  if (s.photo_page && !s.bench_page) {
    s.photo_page = false;
    return;
  }
  const std::size_t at = s.photos ? s.photos->at : 0;
  if (!read_photos(s)) return;
  s.bench_page = false;
  leave_pages(s);
  s.photo_page = true;
  show_photo(s, at < s.photos->photos.size() ? at : 0);
  if (s.photos->shown() == nullptr) return say(s, kNoPhotos);
  say_photo(s);
}

void act(Session& s, const NextPhoto&) {
  if (!s.photos || s.photos->photos.size() < 2) return;
  show_photo(s, (s.photos->at + 1) % s.photos->photos.size());
  if (!s.photos->shown()->fit) s.photo_under = false;
  say_photo(s);
}

void act(Session& s, const AddPhotos& a) {
  if (!has_job(s)) return;
  std::int64_t last = 0;
  for (const auto& file : a.files) {
    const auto added = add_photo(*s.bench, *s.board, *s.job, file, "", std::nullopt);
    if (!added.ok()) return fail(s, added.error());
    last = added->photo.number;
  }
  if (!read_photos(s)) return;
  const auto& photos = s.photos->photos;
  const auto at = std::find_if(photos.begin(), photos.end(),
                               [&](const LaidPhoto& laid) { return laid.photo.number == last; });
  s.bench_page = s.photo_under = false;
  leave_pages(s);
  s.photo_page = true;
  show_photo(s, static_cast<std::size_t>(at - photos.begin()));
  say(s, fmt::format("Photo {} is kept: its pixels, no place, time or name. Click a land's middle in it.",
                     last));
}

void act(Session& s, const PhotoUnder&) {
  if (!has_job(s)) return;
  if (s.photo_under) {
    s.photo_under = false;
    return say(s, "The map without the photo.");
  }
  if (!s.photos) {
    if (!read_photos(s)) return;
    show_photo(s, 0);
  }
  const LaidPhoto* laid = s.photos->shown();
  if (laid == nullptr) return fail(s, {ErrorCode::kUsage, kNoPhotos});
  if (!laid->fit)
    return fail(s, {ErrorCode::kUsage, fmt::format("Photo {}: {}.", laid->photo.number, laid->says)});
  s.photo_under = true;
  leave_pages(s);
  // The picture's places are true ones.
  s.look.true_scale = true;
  keep_look(s);
  say_photo(s);
}

void act(Session& s, const ClickPhoto& a) {
  if (!s.photos || s.photos->shown() == nullptr) return;
  const Photo& photo = s.photos->shown()->photo;
  if (!(a.pixel.x >= 0 && a.pixel.y >= 0 && a.pixel.x <= photo.width && a.pixel.y <= photo.height)) return;
  s.photos->clicked = a.pixel;
  say(s, "Now click the same land on the map beside it. Esc takes the click back.");
}

void act(Session& s, const MatchLand& a) {
  if (!s.photos || !s.photos->clicked || !s.board || a.pin >= s.board->board().pins.size()) return;
  PhotoDesk& desk = *s.photos;
  const std::string site = s.board->index().pin_text(a.pin);
  if (!place_of_pin(*s.board, a.pin, desk.shown()->photo.side)) {
    return fail(
        s, {ErrorCode::kNotFound,
            fmt::format("{}: no file of this board says where its land lies on the photo's side.", site)});
  }
  std::erase_if(desk.matches, [&](const PhotoMatch& match) { return match.site == site; });
  desk.matches.push_back({site, desk.clicked->x, desk.clicked->y});
  desk.clicked.reset();
  keep_matches(s);
}

void act(Session& s, const TakeBackMatch&) {
  if (s.photos && s.photos->clicked) {
    s.photos->clicked.reset();
    return say(s, "The click is taken back.");
  }
  if (!s.photos || s.photos->matches.empty()) return fail(s, {ErrorCode::kUsage, "No land is matched."});
  s.photos->matches.pop_back();
  keep_matches(s);
}

void act(Session& s, const Propose&) {
  if (!s.photos || s.photos->shown() == nullptr) return fail(s, {ErrorCode::kUsage, kNoPhotos});
  auto found = propose(*s.bench, *s.board, *s.job, s.photos->shown()->photo.number);
  if (!found.ok()) return fail(s, found.error());
  s.photos->proposals = std::move(found).value();
  s.photos->proposal = 0;
  const auto& list = s.photos->proposals->list;
  if (!list.empty()) act(s, SelectPin{list.front().pin});
  say(s, list.empty() ? count_of(s.photos->proposals->looked_at, "land") +
                            " looked at: none is unlike its neighbours. That proves nothing."
                      : fmt::format("{} of {} {} unlike the neighbours. Look at each; none is marked.",
                                    list.size(), count_of(s.photos->proposals->looked_at, "land"),
                                    list.size() == 1 ? "is" : "are"));
}

void act(Session& s, const StepProposal& a) {
  if (!s.photos || !s.photos->proposals || s.photos->proposals->list.empty())
    return fail(s, {ErrorCode::kUsage, "Nothing is proposed: ask for it on the photo's page."});
  const auto& list = s.photos->proposals->list;
  s.photos->proposal = (s.photos->proposal + (a.back ? list.size() - 1 : 1)) % list.size();
  const Proposal& one = list[s.photos->proposal];
  act(s, SelectPin{one.pin});
  say(s, fmt::format("Proposal {} of {}: {}, {} (score {:.1f}). 1 to 6 marks it, Y passes on.",
                     s.photos->proposal + 1, list.size(), one.site, one.why, one.score));
}

}  // namespace landfall::app
