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
  std::vector<std::string>
      conflicts;  // one a site that both sides marked differently: "U1.A1: here torn, there missing"
};

// The jobs of a handed-over bench file. A board is the same when it came from the same files, byte for byte;
// a job when board, parts and the second in which it was opened are the same. New marks, facts, outcomes,
// readings, intake answers and photos come in; of readings, answers and a photo's matches the newer stands. A
// photo that was rubbed out here stays away. A site that both marked
// differently is a conflict: nothing at all is taken until `prefer` says which side holds. A mark taken off
// there stays here: a file of the present knows no past. Taking a file in twice changes nothing.
Result<std::vector<TakenIn>> take_in(store::Bench& bench, const std::filesystem::path& file,
                                     std::optional<Prefer> prefer);

}  // namespace landfall::app
