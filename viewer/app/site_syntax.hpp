// What a technician types to mark: "U1.A1..B3=torn AB14=sound", or "AB14 AB16..AB20 torn".
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "viewer/app/desk.hpp"

namespace landfall::app {

// A1..B3 is the rectangle between two balls, in the grid of the part's own names; sites that the package has
// not are left out, and a corner may be such a site. The part may be left out where the job lifted just one.
// kUsage for a wrong form or kind, kNotFound for a part or ball that is not there: nothing is marked then.
Result<std::vector<Index>> sites_named(const OpenBoard& board, const Job& job, std::string_view sites);

// "torn", in any case. kUsage for anything else, with the kinds that there are.
Result<MarkKind> kind_named(std::string_view text);

// What is typed in one line, apart by any of `between`.
std::vector<std::string> words_in(std::string_view text, std::string_view between = " ,;\t");

struct TypedMarks {
  std::vector<store::MarkChange> changes;
  std::string words;  // the gesture in words: "U1.Y3 torn", "12 sites sound"
};

// Words of the form SITES=KIND, or SITES ... KIND with one kind for all. `off`: sites only, marks are taken
// off. One ball named twice: the last kind stands.
Result<TypedMarks> parse_marks(const OpenBoard& board, const Job& job, const std::vector<std::string>& words,
                               bool off);

}  // namespace landfall::app
