// Where a job's symptoms meet: names of nets in, places out; for the command and for the window's page.
#pragma once

#include <string>
#include <vector>

#include "netdb/rework/suspects/suspects.hpp"
#include "viewer/app/desk.hpp"

namespace landfall::app {

struct SymptomNames {
  std::vector<std::string> dark, good;
};

// What the job's intake says, by its topics "dark" and "good".
Result<SymptomNames> symptoms_told(store::Bench& bench, std::int64_t job);

// kNotFound, with what comes near, for a name that is no net of the board. A net that is named twice counts
// once, and as dark where it is named as both.
Result<rework::Symptoms> symptoms_of(const OpenBoard& board, const SymptomNames& names);

// rework::find_suspects over all area arrays of the board.
rework::SuspectAnswer suspects_of(const OpenBoard& board, const rework::Symptoms& symptoms);

// Sites of the suspect's window, or all of a whole part's.
std::vector<Index> pins_of(const OpenBoard& board, const rework::Suspect& suspect);

// "1 in 91", "less often than 1 in 1000" where no shuffle scored as high.
std::string chance_text(double by_chance);

}  // namespace landfall::app
