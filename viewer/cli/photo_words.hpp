// What the photo commands share.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "viewer/app/desk.hpp"
#include "viewer/cli/context.hpp"

namespace landfall::cli {

struct PhotoArgs {
  std::string job, file, note, side, fit, ball, kind;
  std::int64_t number = 0;
  std::vector<std::string> matches;
};

struct OpenJob {
  Job job;
  std::shared_ptr<const app::OpenBoard> board;
};
// Nothing, and the error said, when the job or its board cannot be opened.
std::optional<OpenJob> open_job(Context& context, const PhotoArgs& args);

// propose and accept, below `photo`.
void add_proposal_commands(CLI::App& photo, Context& context, const std::shared_ptr<PhotoArgs>& args);

}  // namespace landfall::cli
