// Damage that a photo may show: proposals, each to be accepted or passed by a person. Nothing is marked by
// itself, and nothing is looked for until asked.
#pragma once

#include <string>
#include <vector>

#include "viewer/app/photos.hpp"

namespace landfall::app {

struct Proposal {
  Index pin = kNone;
  std::string site;                // PART.BALL
  double score = 0;                // photo::unlike, from photo::kProposeFrom
  std::string why;                 // in one clause
  std::optional<MarkKind> marked;  // what the job says of it already
};

struct Proposals {
  std::vector<Proposal> list;  // the highest score first
  std::size_t looked_at = 0;
  // Lands of the photo's side that could not be judged, in words: "12 in glare".
  std::vector<std::string> not_seen;
};

// kNotFound when the photo does not lie on the board.
Result<Proposals> propose(store::Bench& bench, const OpenBoard& board, const Job& job, std::int64_t number);

// The note that a mark on this site is to bear since the photo's proposals name it: "photo N"; nothing where
// they do not, or where the mark has a note already.
std::optional<std::string> note_of_proposal(const OpenBoard& board, const Job& job, std::int64_t number,
                                            const Proposals& proposals, Index pin);

// Marks one site that the photo's proposals name, as one gesture with the note "photo N" where it has none.
// kNotFound when it is not among them.
Status accept(store::Bench& bench, const OpenBoard& board, const Job& job, std::int64_t number,
              const Proposals& proposals, std::string_view site, MarkKind kind);

inline constexpr std::string_view kProposalCaution =
    "Proposals only: what was measured on rendered pictures proves nothing about real ones. Glare and flux "
    "hide "
    "damage and look like it; clean the lands first, and look at each under the microscope.";

}  // namespace landfall::app
