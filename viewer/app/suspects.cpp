#include "viewer/app/suspects.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "netdb/packages/packages.hpp"
#include "viewer/app/intake.hpp"

namespace landfall::app {

Result<SymptomNames> symptoms_told(store::Bench& bench, std::int64_t job) {
  const auto answers = bench.intake(job);
  if (!answers.ok()) return answers.error();
  SymptomNames names;
  for (const IntakeAnswer& answer : *answers) {
    if (answer.topic == "dark") names.dark = words_of(answer.answer);
    if (answer.topic == "good") names.good = words_of(answer.answer);
  }
  return names;
}

Result<rework::Symptoms> symptoms_of(const OpenBoard& board, const SymptomNames& names) {
  rework::Symptoms symptoms;
  const auto has = [](const std::vector<Index>& list, Index net) {
    return std::find(list.begin(), list.end(), net) != list.end();
  };
  for (const bool dark : {true, false}) {
    for (const std::string& name : dark ? names.dark : names.good) {
      const auto net = find_net(board, name);
      if (!net.ok()) return net.error();
      if (!has(symptoms.dark, *net) && !has(symptoms.good, *net))
        (dark ? symptoms.dark : symptoms.good).push_back(*net);
    }
  }
  return symptoms;
}

rework::SuspectAnswer suspects_of(const OpenBoard& board, const rework::Symptoms& symptoms) {
  rework::SuspectInput input;
  input.index = &board.index();
  input.signals = &board.signals();
  input.symptoms = symptoms;
  for (const Index part : packages::area_arrays(board.index()))
    input.packages.push_back(packages::package_of(board.index(), part));
  return rework::find_suspects(input);
}

std::vector<Index> pins_of(const OpenBoard& board, const rework::Suspect& suspect) {
  std::vector<Index> pins;
  for (const PackageSite& site : packages::package_of(board.index(), suspect.part).sites) {
    const int row = site.site.row - 1;
    const int column = site.site.column - 1;
    const bool inside =
        row >= suspect.top && row <= suspect.bottom && column >= suspect.left && column <= suspect.right;
    if (site.pin != kNone && (inside || suspect.whole_part)) pins.push_back(site.pin);
  }
  return pins;
}

std::string chance_text(double by_chance) {
  constexpr int kAll = rework::SuspectInput{}.shuffles + 1;
  if (by_chance <= 1.5 / kAll) return fmt::format("less often than 1 in {}", kAll);
  return fmt::format("1 in {:.0f}", std::max(1 / by_chance, 1.0));
}

}  // namespace landfall::app
