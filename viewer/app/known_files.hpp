// Files that come now among those that the bench has: on which boards they are, and whose design they are of.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "netdb/join/join.hpp"
#include "netdb/model/result.hpp"
#include "netdb/store/bench.hpp"
#include "viewer/app/import.hpp"

namespace landfall::app {

struct KnownFiles {
  std::optional<std::int64_t> same;      // the newest board that came from all of them as they are asked for
  std::optional<store::BoardInfo> home;  // else the board that has some of them, to which all of them belong
  std::vector<std::string> notes;        // "a.net: the bench has this very file already, on a"
  std::vector<std::string> namesakes;    // boards that have another file of one of these names and formats
};

// The order of the files says nothing. A board that is asked for by `into` is the only one looked at. A home
// is a board that has one of the design's own files (of lists, which many designs share: a board of one part
// that came from lists, where only lists come), while no name asks for another board and the other files are
// of its design. kChoice where several boards are equally near. `sources` go with `files`, one by one.
Result<KnownFiles> known_files(store::Bench& bench, const std::vector<store::SourceFile>& files,
                               const std::vector<join::Source>& sources, const ImportRequest& request);

// The board has this file as it is asked for, and nothing is left to be compared.
bool has_file(const std::vector<store::SourceFile>& kept, const store::SourceFile& file,
              const std::string& part);

}  // namespace landfall::app
