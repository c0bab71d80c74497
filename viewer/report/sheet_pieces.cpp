#include "viewer/report/sheet_pieces.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/format.h>

#include "netdb/model/counted.hpp"

namespace landfall::report {

using rework::State;

Block heading(std::string text) {
  Block block;
  block.kind = BlockKind::kHeading;
  block.text = std::move(text);
  return block;
}

Block text(std::string text) {
  Block block;
  block.text = std::move(text);
  return block;
}

Block lead(std::string text) {
  Block block;
  block.kind = BlockKind::kLead;
  block.text = std::move(text);
  return block;
}

Block caution(std::string_view text) {
  Block block;
  block.kind = BlockKind::kCaution;
  block.text = text;
  return block;
}

Block form(std::vector<std::string> fields) {
  Block block;
  block.kind = BlockKind::kForm;
  block.fields = std::move(fields);
  return block;
}

Block table(Table table) {
  Block block;
  block.kind = BlockKind::kTable;
  block.table = std::move(table);
  return block;
}

Cell say(std::string text) {
  return {std::move(text), std::nullopt};
}

Cell count(std::size_t n) {
  return {std::to_string(n), static_cast<double>(n)};
}

Cell number(int n, const std::string& prefix) {
  if (!prefix.empty()) return say(prefix + std::to_string(n));
  return {std::to_string(n), static_cast<double>(n)};
}

Cell blank() {
  return {};
}

Cell tick(bool done) {
  return done ? say("x") : blank();
}

Cell length(Nm nm, bool to_cut) {
  constexpr Nm kTenth = kNmPerMm / 10;
  if (to_cut && nm <= 0) return say("?");  // lists alone give no places
  const Nm tenths = to_cut ? (nm + kTenth - 1) / kTenth : (nm + kTenth / 2) / kTenth;
  return {mm_text(tenths * kTenth, 1), static_cast<double>(tenths) / 10};
}

std::string signed_text(std::string text) {
  if (text.starts_with('-')) text.replace(0, 1, "\u2212");
  return text;
}

Cell money(double value, bool sign) {
  const double whole = std::round(value) + 0.0;  // no minus zero
  return {signed_text(sign && whole != 0 ? fmt::format("{:+.0f}", whole) : fmt::format("{:.0f}", whole)),
          value};
}

Cell minutes(double value) {
  const auto all = std::llround(value);
  const auto hours = all / 60;
  const auto rest = all % 60;
  std::string says;
  if (hours > 0) says = fmt::format("{}{}h", hours, kNoBreak);
  if (rest > 0 || hours == 0) says += fmt::format("{}{}{}min", says.empty() ? "" : " ", rest, kNoBreak);
  return {says, value};
}

Cell percent(double share, int places) {
  return {signed_text(fmt::format("{:.{}f}{}%", share * 100, places, kNoBreak)), share};
}

Cell ohm(double value) {
  if (value < 1) return {fmt::format("{:.3g}{}m\u03A9", value * 1000, kNoBreak), value};
  return {fmt::format("{:.3g}{}\u03A9", value, kNoBreak), value};
}

Cell chance(const std::optional<rework::verdict::Interval>& chance) {
  if (!chance) return say("");
  return {fmt::format("{:.0f}{}% ({:.0f} to {:.0f})", chance->mean * 100, kNoBreak, chance->low * 100,
                      chance->high * 100),
          chance->mean};
}

std::string count_of(std::size_t n, std::string_view noun) {
  return fmt::format("{}{}{}", n, kNoBreak, noun_of(n, noun));
}

std::string listed(const std::vector<std::string>& items) {
  std::string says;
  for (std::size_t i = 0; i < items.size(); ++i)
    says += (i == 0 ? "" : (i + 1 == items.size() ? " and " : ", ")) + items[i];
  return says;
}

std::string day_text(const std::string& iso) {
  if (iso.size() != 20 || iso[10] != 'T' || iso[19] != 'Z') return iso;
  return iso.substr(0, 10) + " " + iso.substr(11, 5) + " UTC";
}

std::string net_name(const app::JobAnswer& job, Index net) {
  return net == kNone ? std::string() : job.board->board().nets[net].name;
}

std::string group_name(const app::JobAnswer& job, Index net) {
  if (net == kNone) return {};
  const Signals& signals = job.board->signals();
  const NetSignal& signal = signals.nets[net];
  if (signal.lane != kNone) return signals.lanes[signal.lane].name;
  return signal.bus != kNone ? signals.buses[signal.bus].name : std::string();
}

std::string job_line(const SheetInput& input) {
  std::string parts;
  for (const std::string& reference : input.job.job.lifted) parts += (parts.empty() ? "" : ", ") + reference;
  std::string says = fmt::format("job {}", input.job.job.id);
  if (!input.job.job.title.empty()) says += ": " + input.job.job.title;
  says += fmt::format("; board {}, {} lifted", input.job.board->info().name, parts);
  if (!input.settings.date.empty()) says += "; printed " + day_text(input.settings.date);
  return says;
}

std::string work_line(const SheetInput& input) {
  const rework::Plan& plan = input.plan;
  const bool bound = plan.bound || input.job.assessment.bound;
  return fmt::format("{}{}, {}{}", bound ? "at most " : "", count_of(plan.wires.size(), "wire"),
                     count_of(plan.rebuilds.size(), "rebuild"), done_text(plan));
}

std::string damage_line(const SheetInput& input) {
  std::array<std::size_t, kMarkKinds> counts{};
  for (const Mark& mark : input.job.job.marks) ++counts[static_cast<std::size_t>(mark.kind)];
  std::vector<std::string> kinds;
  for (int kind = kMarkKinds - 1; kind > 0; --kind) {
    const std::size_t n = counts[static_cast<std::size_t>(kind)];
    if (n > 0) kinds.push_back(fmt::format("{}{}{}", n, kNoBreak, word(static_cast<MarkKind>(kind))));
  }
  const std::size_t all = input.job.job.marks.size() - counts[0];
  return fmt::format("{} marked as damaged{}; {} looked at and sound, {} not inspected.",
                     count_of(all, "site"), kinds.empty() ? "" : " (" + listed(kinds) + ")", counts[0],
                     input.job.assessment.not_inspected);
}

Table channel_table(const SheetInput& input, std::size_t most) {
  const Signals& signals = input.job.board->signals();
  Table made;
  made.key = "channels";
  made.title = "What was lost";
  made.columns = {{"name", "channel"}, {"what", "what it is"}, {"state", "state"}, {"because", "because"}};
  made.none = "No memory channel or interface of the lifted parts is known on this board.";
  std::size_t untouched = 0;
  std::size_t left_out = 0;
  for (const auto& group : input.job.assessment.channels) {
    const Channel& channel = signals.channels[group.group];
    if (group.state == State::kUp && channel.kind != InterfaceKind::kMemory) {
      ++untouched;
      continue;
    }
    if (made.rows.size() >= most) {
      ++left_out;
      continue;
    }
    made.rows.push_back(
        {say(channel.name), say(channel.what), say(std::string(word(group.state))), say(group.because)});
  }
  // Lines of no channel are lost all the same.
  const auto add_row = [&](bool supplies, State state, const char* one, const char* what) {
    std::size_t lines = 0;
    std::string because;
    for (const auto& group : input.job.assessment.nets) {
      const NetSignal& signal = signals.nets[group.group];
      if (group.state != state || signal.channel != kNone || is_supply(signal.signal_class) != supplies)
        continue;
      if (++lines <= 3) because += (lines > 1 ? ", " : "") + group.because;
    }
    if (lines > 3) because += fmt::format(" and {} more", lines - 3);
    if (lines > 0) {
      made.rows.push_back(
          {say(supplies && lines > 1 ? fmt::format("{} supplies", lines) : count_of(lines, one)), say(what),
           say(std::string(word(state))), say(because)});
    }
  };
  for (const State state : {State::kDown, State::kUnknown, State::kDegraded}) {
    add_row(false, state, "line", "of no channel that is known");
    add_row(true, state, "supply", "power and ground");
  }
  if (left_out > 0)
    made.rows.push_back({say(fmt::format("{} more", left_out)), say(""), say(""), say("see the record")});
  if (untouched > 0) {
    made.rows.push_back({say(count_of(untouched, "interface")), say("others"), say("up"),
                         say("nothing that they need is damaged")});
  }
  return made;
}

}  // namespace landfall::report
