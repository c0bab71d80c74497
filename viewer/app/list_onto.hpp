// Lists that come for a part which is known by lists already: whether they add their names or take its place.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "netdb/join/join.hpp"
#include "netdb/model/board_index.hpp"
#include "netdb/model/result.hpp"
#include "netdb/store/bench.hpp"
#include "viewer/app/import.hpp"

namespace landfall::app {

// Where a list's names go.
struct ListPlace {
  Index part = kNone;
  bool newer = false;  // it names nearly all that had a name: a file of its format was its edition before
};

// The part of `board` whose names and sites stay while the list adds to them; nothing when the list is no
// such part's, or takes the place of the list before, as a revision does. Sites that were drawn by hand stay
// in any case. Of a part that a list alone gave, a list that has at least half of its balls is a revision:
// then no ball with a mark and no more than a tenth may go, else kChoice, or added where `wish` says so.
// kChoice as well for a list of other balls, when no part is named. Common practice, no source. O(pins).
Result<std::optional<ListPlace>> place_of_list(const BoardIndex& board,
                                               const std::vector<store::SourceFile>& kept,
                                               const join::Source& list, const std::string& part,
                                               ListWish wish, const std::vector<Job>& jobs);

// The list's names onto the part's balls, balls that it has not added. In words what was done: "4 of 127
// balls named; 123 kept".
Result<std::string> add_names(Board& board, Index part, const join::Source& list);

// Of a board of lists that were read over one another: names that changed or came get the net of that name.
void settle_nets(const Board& before, Board& after);

// kChoice, as above, when `after` lacks too much of a part of `before`. `files` in the message.
Status balls_stay(const Board& before, const Board& after, const std::string& files,
                  const std::vector<Job>& jobs);

}  // namespace landfall::app
