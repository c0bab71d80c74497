#include "viewer/cli/words.hpp"

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include "viewer/app/job_end.hpp"

namespace landfall::cli {

Json name_or_null(const std::string& name) {
  return name.empty() ? Json(nullptr) : Json(name);
}

std::string net_name(const Board& board, Index net) {
  return net == kNone ? std::string() : board.nets[net].name;
}

std::string class_name(const Signals& signals, Index net) {
  return std::string(word(net == kNone ? SignalClass::kUnconnected : signals.nets[net].signal_class));
}

std::string bus_name(const Signals& signals, Index net) {
  if (net == kNone || signals.nets[net].bus == kNone) return {};
  return signals.buses[signals.nets[net].bus].name;
}

std::string lane_name(const Signals& signals, Index net) {
  if (net == kNone || signals.nets[net].lane == kNone) return {};
  return signals.lanes[signals.nets[net].lane].name;
}

std::string channel_name(const Signals& signals, Index net) {
  if (net == kNone || signals.nets[net].channel == kNone) return {};
  return signals.channels[signals.nets[net].channel].name;
}

void add_groups(Json& answer, const Signals& signals, Index net) {
  answer["class"] = class_name(signals, net);
  answer["bus"] = name_or_null(bus_name(signals, net));
  answer["lane"] = name_or_null(lane_name(signals, net));
  answer["channel"] = name_or_null(channel_name(signals, net));
}

Json why_json(const Signals& signals, Index net) {
  Json why = Json::array();
  if (net == kNone) return why;
  for (const Evidence& evidence : signals.nets[net].why)
    why.push_back({{"says", evidence.says}, {"from", evidence.source}});
  return why;
}

double mm_of(Nm nm) {
  return static_cast<double>(nm) / static_cast<double>(kNmPerMm);
}

Json with_rescued(Json answer, const std::optional<std::string>& note) {
  if (note) answer["rescued"] = *note;
  return answer;
}

bool takes_work(Context& context, const Job& job) {
  const Status open = app::open_for_work(job, fmt::format("landfall job reopen {}", job.id));
  if (!open.ok()) context.fail(open.error());
  return open.ok();
}

Status take_options(Context& context, std::vector<std::string>& words) {
  std::vector<std::string> rest;
  for (std::size_t i = 0; i < words.size(); ++i) {
    if (words[i] == "--help" || words[i] == "-h") throw CLI::CallForHelp();
    if (words[i] == "--json") {
      context.json = true;
    } else if (words[i] == "--bench") {
      if (++i == words.size()) return Error{ErrorCode::kUsage, "--bench: which file?"};
      context.bench_file = words[i];
    } else if (words[i].starts_with("--bench=")) {
      context.bench_file = words[i].substr(std::string_view("--bench=").size());
    } else if (words[i].starts_with("--")) {
      return Error{ErrorCode::kUsage, words[i] + " is no option here"};
    } else {
      rest.push_back(words[i]);
    }
  }
  words = std::move(rest);
  return done();
}

std::string end_remark(store::Bench& bench, std::int64_t job) {
  const auto end = app::end_of(bench, job);
  if (!end.ok() || !*end) return {};
  return fmt::format(
      "! {}. Was that a slip: landfall outcome {} job undone; else the next word on the job is another go.",
      app::end_text(**end), job);
}

Json disagreement_json(const store::KeptDisagreement& d) {
  return {{"kind", d.kind}, {"what", d.what}, {"says", d.says}, {"net", name_or_null(d.net)}};
}

}  // namespace landfall::cli
