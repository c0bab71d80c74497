// What stays lost when wires of a plan are left out: their nets, and what hangs on these. Pure.
#pragma once

#include <string>
#include <vector>

#include "netdb/rework/plan/plan.hpp"

namespace landfall::rework {

// Only what does not run: states other than 'up', by the rules of DESIGN.md section 5, "Effect".
struct StaysLost {
  std::vector<int> wires;  // numbers of the plan, ascending
  std::vector<GroupAnswer> nets, lanes, channels;
  std::vector<std::string> says;  // one sentence a wire left out
};

// `without`: numbers of wires; those that the plan has not are passed over. All else counts as mended.
// O(pins of the lifted parts + marks) a call.
StaysLost stays_lost(const PlanInput& input, const Plan& plan, const std::vector<int>& without);

}  // namespace landfall::rework
