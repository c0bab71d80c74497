// Boards made of lists and of nothing: slots as parts, names accepted, a bare package's sites.
#pragma once

#include <string>
#include <vector>

#include "netdb/join/suggest.hpp"
#include "viewer/app/import.hpp"

namespace landfall::app {

// A standard slot onto the board, under this reference. kNotFound for no such slot; kUsage for a reference
// that is taken.
Result<ImportReport> add_slot(store::Bench& bench, const store::BoardInfo& board,
                              const std::string& reference, const std::string& slot);

// "U1:RAM0_DATA5" or a name alone, as one side of an alias.
struct SideName {
  std::string part, name;
};
SideName side_name(const std::string& text);

// What may belong together on this board, best first.
Result<std::vector<join::NameGroup>> name_suggestions(store::Bench& bench, std::int64_t board);

// The group's pairs as aliases, with the group's reason.
std::vector<NameAlias> aliases_of(const join::NameGroup& group);

// A site's new name; an empty one takes the name off.
struct SiteName {
  std::string ball, name;
  PinType type = PinType::kUnknown;  // unknown: as it was, while the name is the same
};

// What was changed on a bare package, and what that did to the marks.
struct PackageEdit {
  std::size_t changed = 0;
  std::vector<std::string> notes;
};

// Missing sites rubbed out, or put back: "C3..F6", "E5". kInput on a board that files of copper or nets
// describe; kNotFound for a site beyond the last row or column, when rubbing out. Marks of jobs on it are
// kept and listed.
Result<PackageEdit> rub_out(store::Bench& bench, const store::BoardInfo& board, const std::string& part,
                            const std::vector<std::string>& sites);
Result<PackageEdit> put_back(store::Bench& bench, const store::BoardInfo& board, const std::string& part,
                             const std::vector<std::string>& sites);
// The same with the names and types that they had, in one transaction: rub_out() undone.
Result<PackageEdit> put_back_named(store::Bench& bench, const store::BoardInfo& board,
                                   const std::string& part, const std::vector<SiteName>& sites);
// Sites as put_back_named() wants them: the balls of the package within "C3..F6", "E5", with name and type.
// Sites that are not there are left out. kUsage for another form.
Result<std::vector<SiteName>> named_sites(const Board& board, Index part,
                                          const std::vector<std::string>& sites);
// Balls named one by one, or all within "A5..A8". Equal names are one net; the names of a whole table: import
// --into with --part. kNotFound for a ball, or a range of balls, that is not there.
Result<PackageEdit> name_balls(store::Bench& bench, const store::BoardInfo& board, const std::string& part,
                               const std::vector<SiteName>& names);

}  // namespace landfall::app
