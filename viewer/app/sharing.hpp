// Two benches' work on one job: a file that was handed over is taken in without loss.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "viewer/app/desk.hpp"

namespace landfall::app {

enum class Prefer { kOurs, kTheirs };

struct TakenIn {
  std::int64_t job = 0;
  std::string board;
  bool new_board = false, new_job = false;
  std::size_t marks = 0, facts = 0, outcomes = 0, readings = 0, answers = 0, photos = 0;  // new here
  std::size_t off = 0;  // marks, facts, readings and answers taken off there, and so here
  // One a site that both sides changed: "U1.A1: here torn, there missing", "..., there taken off".
  std::vector<std::string> conflicts;
};

// "2 marks, 1 fact"; "nothing new".
std::string counts_text(const TakenIn& one);

// The jobs of a handed-over bench file. A board is the same when it came from the same files, byte for byte;
// a job when board, parts and the second in which it was opened are the same. Of a site's mark the state that
// came after the other's stands (store::SitePast): what was marked, changed or taken off there, and not
// touched here since, becomes so here; what is newer here stays. A site that both changed is a conflict:
// nothing at all is taken until `prefer` says which side holds; what was said is remembered, so that neither
// bench asks it again. New facts, outcomes, readings, intake answers and photos come in; of readings and a
// photo's matches the newer stands, of answers the one that was changed more often, and a photo that was
// rubbed out here stays away. Taking a file in twice changes nothing.
Result<std::vector<TakenIn>> take_in(store::Bench& bench, const std::filesystem::path& file,
                                     std::optional<Prefer> prefer);

// The file begins as a bench file does; a design file never does.
bool is_handed_over(const std::filesystem::path& file);

}  // namespace landfall::app
