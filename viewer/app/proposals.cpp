#include "viewer/app/proposals.hpp"

#include <algorithm>
#include <array>

#include <fmt/format.h>

#include "netdb/photo/unlike.hpp"
#include "viewer/app/site_syntax.hpp"

namespace landfall::app {

Result<Proposals> propose(store::Bench& bench, const OpenBoard& board, const Job& job, std::int64_t number) {
  const auto laid = lay(bench, board, job.id, number);
  if (!laid.ok()) return laid.error();
  if (!laid->fit) return Error{ErrorCode::kNotFound, fmt::format("photo {}: {}", number, laid->says)};
  const auto picture = photo_picture(bench, job.id, number);
  if (!picture.ok()) return picture.error();
  const auto lands = lands_seen(board, job, *laid);
  std::vector<photo::RoundPatch> patches;
  patches.reserve(lands.size());
  for (const SeenLand& land : lands) patches.push_back({land.place, land.radius});
  const auto looks = photo::unlike(*picture, *laid->fit, patches);
  Proposals answer;
  std::array<int, 4> sights{};
  for (std::size_t i = 0; i < lands.size(); ++i) {
    ++sights[static_cast<std::size_t>(looks[i].sight)];
    if (looks[i].sight == photo::Sight::kSeen) ++answer.looked_at;
    if (looks[i].score < photo::kProposeFrom) continue;
    Proposal proposal;
    proposal.pin = lands[i].pin;
    proposal.site = board.index().pin_text(proposal.pin);
    proposal.score = looks[i].score;
    proposal.why = photo::says(looks[i].feature);
    if (const Mark* mark = mark_on(job, board, proposal.pin)) proposal.marked = mark->kind;
    answer.list.push_back(std::move(proposal));
  }
  std::stable_sort(answer.list.begin(), answer.list.end(),
                   [](const Proposal& a, const Proposal& b) { return a.score > b.score; });
  for (const auto sight : {photo::Sight::kGlare, photo::Sight::kSmall, photo::Sight::kOutside}) {
    const int count = sights[static_cast<std::size_t>(sight)];
    if (count > 0) answer.not_seen.push_back(fmt::format("{} {}", count, photo::says(sight)));
  }
  return answer;
}

std::optional<std::string> note_of_proposal(const OpenBoard& board, const Job& job, std::int64_t number,
                                            const Proposals& proposals, Index pin) {
  const bool named = std::any_of(proposals.list.begin(), proposals.list.end(),
                                 [&](const Proposal& one) { return one.pin == pin; });
  const Mark* mark = mark_on(job, board, pin);
  if (!named || (mark != nullptr && !mark->note.empty())) return std::nullopt;
  return fmt::format("photo {}", number);
}

Status accept(store::Bench& bench, const OpenBoard& board, const Job& job, std::int64_t number,
              const Proposals& proposals, std::string_view site, MarkKind kind) {
  const auto pins = sites_named(board, job, site);
  if (!pins.ok()) return pins.error();
  const auto found = std::find_if(proposals.list.begin(), proposals.list.end(), [&](const Proposal& one) {
    return pins->size() == 1 && one.pin == pins->front();
  });
  if (found == proposals.list.end()) {
    return Error{ErrorCode::kNotFound, fmt::format("{} is not among the proposals of photo {}; landfall mark "
                                                   "marks any site",
                                                   site, number)};
  }
  const Pin& pin = board.board().pins[found->pin];
  const store::MarkChange change{board.board().parts[pin.part].reference, pin.number, kind,
                                 note_of_proposal(board, job, number, proposals, found->pin)};
  return bench.record(job.id, fmt::format("{} {}, as photo {} shows it", found->site, word(kind), number),
                      {change}, now_utc());
}

}  // namespace landfall::app
