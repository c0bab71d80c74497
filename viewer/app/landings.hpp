// Where else a ball's net can be soldered to, or probed: what the sheet and the `ball` command list. Which of
// them a wire takes, the plan says: it knows what the marks took.
#pragma once

#include <string>
#include <vector>

#include "netdb/rework/mend/landing.hpp"
#include "viewer/app/desk.hpp"

namespace landfall::app {

struct NearLanding {
  rework::Landing landing;
  std::string text;  // "TP3.1 (test point)", "covered via at 39.60, 26.40"
  Nm from_here = 0;  // straight
};

// Of the copper as it is drawn, on either side, without lands that the job marks as damaged: by rank, which
// is distance and how hard the landing is (`hardness`), nearest of one kind first; at most `most`. `lifted`:
// the parts that are off, by reference. Empty without copper, for a ball without a place, and for supplies,
// which have landings everywhere.
std::vector<NearLanding> landings_near(const OpenBoard& board, Index pin,
                                       const std::vector<std::string>& lifted, const std::vector<Mark>& marks,
                                       std::size_t most);

}  // namespace landfall::app
