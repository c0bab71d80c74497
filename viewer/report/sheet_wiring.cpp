// The wiring sheet: what to do in which order, the wires with a cut-list, and what a wire does to its signal.
#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "viewer/report/sheet_pieces.hpp"

namespace landfall::report {
namespace {

using rework::PlannedRebuild;
using rework::PlannedWire;

std::string way_text(const PlannedWire& wire) {
  std::vector<std::string> parts;
  if (wire.done) parts.emplace_back("done");
  if (wire.length <= 0) return wire.done ? "done; way not known" : "way not known";
  parts.emplace_back(wire.under_part ? "stays under the part" : "on the surface");
  if (wire.other_side) parts.emplace_back("to the other side");
  if (!wire.clear_way) parts.emplace_back("no clear way found: straight");
  std::string says;
  for (const std::string& part : parts) says += (says.empty() ? "" : "; ") + part;
  return says;
}

std::string rebuild_conductors(const PlannedRebuild& rebuild) {
  if (rebuild.rebuild.only_bond) return "bond the land again";
  if (rebuild.rebuild.on_via) return "on the via";
  return "on " + count_of(rebuild.rebuild.conductors, "conductor");
}

Table rebuild_table(const SheetInput& input) {
  Table made;
  made.key = "rebuilds";
  made.title = "First the rebuilds";
  made.columns = {{"number", "no.", Holds::kNumber},
                  {"at", "at", Holds::kName},
                  {"net", "net", Holds::kName},
                  {"land", "new land"},
                  {"why", "why"},
                  {"done", "done", Holds::kTick}};
  made.none = "None.";
  for (const PlannedRebuild& rebuild : input.plan.rebuilds) {
    made.rows.push_back({number(rebuild.number, "R"), say(rebuild.at), say(rebuild.net),
                         say((rebuild.done ? "done; " : "") + rebuild_conductors(rebuild)),
                         say(rebuild.rebuild.why), tick(rebuild.done)});
  }
  return made;
}

Table wire_table(const SheetInput& input) {
  Table made;
  made.key = "wires";
  made.title = "Then the wires, in this order";
  made.columns = {{"number", "no.", Holds::kNumber},
                  {"from", "from", Holds::kName},
                  {"to", "to", Holds::kName},
                  {"net", "net", Holds::kName},
                  {"length_mm", "cut, mm", Holds::kFigure},
                  {"way", "way"},
                  {"word", "signal"},
                  {"done", "done", Holds::kTick}};
  made.none = "None.";
  for (const PlannedWire& wire : input.plan.wires) {
    made.rows.push_back({number(wire.number), say(wire.from), say(wire.to),
                         say(net_name(input.job, wire.jumper.net)), length(wire.length, true),
                         say(way_text(wire)), say(std::string(word(wire.word))), tick(wire.done)});
  }
  return made;
}

Nm wire_in_all(const rework::Plan& plan) {
  Nm sum = 0;
  constexpr Nm kTenth = kNmPerMm / 10;
  for (const PlannedWire& wire : plan.wires) sum += (wire.length + kTenth - 1) / kTenth * kTenth;
  return sum;
}

// "39.8 mm in all"; wires whose length no file tells are not in the sum, and that is said.
std::string length_in_all(const rework::Plan& plan) {
  const auto unknown = static_cast<std::size_t>(std::count_if(
      plan.wires.begin(), plan.wires.end(), [](const PlannedWire& wire) { return wire.length == 0; }));
  if (unknown == plan.wires.size()) return "lengths not known";
  const std::string sum = fmt::format("{}{}mm in all", length(wire_in_all(plan)).text, kNoBreak);
  return unknown == 0 ? sum : fmt::format("{}, {} of unknown length not counted", sum, unknown);
}

Table cut_list(const SheetInput& input) {
  Table made;
  made.key = "cut_list";
  made.title =
      fmt::format("Cut-list: {} of {}, {}", count_of(input.plan.wires.size(), "piece"),
                  input.plan.wire.empty() ? "wire" : input.plan.wire + " wire", length_in_all(input.plan));
  made.columns = {{"length_mm", "cut, mm", Holds::kFigure},
                  {"wire", "wire"},
                  {"number", "for wire", Holds::kNumber},
                  {"from", "from", Holds::kName},
                  {"to", "to", Holds::kName},
                  {"cut", "cut", Holds::kTick}};
  std::vector<const PlannedWire*> order;
  for (const PlannedWire& wire : input.plan.wires) order.push_back(&wire);
  std::stable_sort(order.begin(), order.end(),
                   [](const PlannedWire* a, const PlannedWire* b) { return a->length > b->length; });
  for (const PlannedWire* wire : order) {
    made.rows.push_back({length(wire->length, true), say(wire->wire), number(wire->number), say(wire->from),
                         say(wire->to), tick(wire->done)});
  }
  made.none = "No wire to cut.";
  return made;
}

// With its sign; nothing rounds to minus zero.
std::string whole_text(double value) {
  const double whole = std::round(value);
  return whole == 0 ? "0" : signed_text(fmt::format("{:+.0f}", whole));
}

Cell delay_text(const PlannedWire& wire) {
  const auto& judged = wire.judgement;
  if (!judged.share) return say("");
  return {fmt::format("{}{}{}ps", judged.bound ? "\u2264" : "", whole_text(judged.delay_ps), kNoBreak),
          judged.delay_ps};
}

// No figure at a line's end with its unit on the next.
std::string with_units(std::string says) {
  for (const std::string_view unit : {" ps", " %", " nH", " ohm"}) {
    std::size_t at = 0;
    while ((at = says.find(unit, at)) != std::string::npos) {
      const bool figure = at > 0 && says[at - 1] >= '0' && says[at - 1] <= '9';
      if (figure) says.replace(at, 1, kNoBreak);
      at += unit.size();
    }
  }
  return says;
}

Table signal_table(const SheetInput& input) {
  Table made;
  made.key = "signals";
  made.title = "Will the signal survive the wire";
  made.columns = {{"number", "no.", Holds::kNumber},
                  {"interface", "interface"},
                  {"delay_ps", "delay", Holds::kFigure},
                  {"interval_share", "of interval", Holds::kFigure},
                  {"ohm", "ohm", Holds::kFigure},
                  {"word", "word"},
                  {"why", "why"}};
  made.none = "None.";
  for (const PlannedWire& wire : input.plan.wires) {
    std::string why = wire.judgement.why;
    if (wire.pair && !wire.pair->why.empty()) why += ". Pair: " + wire.pair->why;
    const bool assumed = wire.judgement.grade_assumed;
    made.rows.push_back({number(wire.number), say(wire.interface + (assumed ? ", assumed" : "")),
                         delay_text(wire), wire.judgement.share ? percent(*wire.judgement.share, 1) : say(""),
                         wire.judgement.ohm > 0 ? ohm(wire.judgement.ohm) : say(""),
                         say(std::string(word(wire.word))), say(with_units(std::move(why)))});
  }
  return made;
}

Table pair_table(const SheetInput& input) {
  Table made;
  made.key = "pairs";
  made.title = "Pairs";
  made.columns = {{"number", "no.", Holds::kNumber},
                  {"other_leg", "other leg", Holds::kName},
                  {"skew_ps", "skew", Holds::kFigure},
                  {"word", "word"},
                  {"offer", "better"}};
  for (const PlannedWire& wire : input.plan.wires) {
    if (!wire.pair) continue;
    const auto& pair = *wire.pair;
    const Cell skew{fmt::format("{}{:.0f}{}ps", pair.bound ? "\u2264" : "", pair.skew_ps, kNoBreak),
                    pair.skew_ps};
    made.rows.push_back(
        {number(wire.number), say(wire.pair_with), skew, say(std::string(word(pair.word))), say(pair.offer)});
  }
  return made;
}

// One row a procedure, with the numbers it is for.
Table procedure_table(const SheetInput& input) {
  Table made;
  made.key = "procedures";
  made.title = "How: procedures of IPC-7721";
  made.columns = {{"procedure", "procedure", Holds::kName},
                  {"name", "name"},
                  {"skill", "skill"},
                  {"conformance", "conformance"},
                  {"for", "for"}};
  const auto add = [&](const rework::Procedure& procedure, const std::string& who) {
    if (procedure.number.empty()) return;
    for (auto& row : made.rows) {
      if (row[0].text != procedure.number) continue;
      row[4].text += ", " + who;
      return;
    }
    made.rows.push_back({say(std::string(procedure.number)), say(std::string(procedure.name)),
                         say(std::string(procedure.skill)), say(std::string(procedure.conformance)),
                         say(who)});
  };
  for (const auto& rebuild : input.plan.rebuilds) add(rebuild.procedure, fmt::format("R{}", rebuild.number));
  for (const auto& wire : input.plan.wires) add(wire.procedure, std::to_string(wire.number));
  made.none = "None fits.";
  return made;
}

Table unreached_table(const SheetInput& input) {
  Table made;
  made.key = "cannot";
  made.title = "What nothing on the board mends";
  made.columns = {{"at", "at", Holds::kName}, {"net", "net", Holds::kName}, {"why", "why"}};
  const auto add = [&](Index pin, const std::string& why) {
    const std::string at = input.job.board->index().pin_text(pin);
    for (const auto& row : made.rows) {
      if (row[0].text == at) return;
    }
    made.rows.push_back(
        {say(at), say(net_name(input.job, input.job.board->board().pins[pin].net)), say(why)});
  };
  for (const auto& site : input.job.assessment.sites) {
    if (site.need == rework::Need::kCannot) add(site.pin, site.reason);
  }
  for (const auto& net : input.job.assessment.mends) {
    for (const auto& pin : net.cannot) add(pin.pin, pin.why);
  }
  return made;
}

Table size_table(const SheetInput& input) {
  Table made;
  made.key = "sizes";
  made.title = "The same plan with another wire";
  made.columns = {{"wire", "wire"},
                  {"overall_mm", "over all, mm", Holds::kFigure},
                  {"find_a_way", "find a way", Holds::kFigure},
                  {"of", "of", Holds::kFigure},
                  {"fits", "fits"}};
  for (const auto& size : input.plan.sizes) {
    made.rows.push_back({say(size.wire),
                         {mm_text(size.overall, 3), static_cast<double>(size.overall) / 1e6},
                         count(size.found),
                         count(size.asked),
                         say(size.fits      ? "yes"
                             : size.may_fit ? "not shown"
                                            : "no")});
  }
  return made;
}

void add_cautions(std::vector<Block>& blocks, const SheetInput& input) {
  blocks.push_back(caution(kCautionHeat));
  blocks.push_back(caution(kCautionBench));
  if (input.plan.wires.empty()) return;
  blocks.push_back(caution(kCautionWire));
  blocks.push_back(caution(kCautionNearEnd));
  std::vector<std::string> under;
  for (const PlannedWire& wire : input.plan.wires) {
    const auto from_site = wire.jumper.from.kind == rework::LandingKind::kSite;
    if (wire.under_part || from_site) under.push_back(std::to_string(wire.number));
  }
  if (under.empty()) return;
  const bool all = under.size() == input.plan.wires.size();
  blocks.push_back(caution(
      fmt::format("{} between the balls under the part: that departs from the usual rules for jumper wires.",
                  all ? "All wires run"
                      : fmt::format("{} {} {}", under.size() == 1 ? "Wire" : "Wires", listed(under),
                                    under.size() == 1 ? "runs" : "run"))));
}

}  // namespace

Sheet wiring_sheet(const SheetInput& input) {
  Sheet sheet;
  sheet.title = "Wiring sheet";
  auto& blocks = sheet.blocks;
  blocks.push_back(text(job_line(input)));
  blocks.push_back(lead(work_line(input)));
  if (input.job.job.safety_critical == SafetyAnswer::kNotAsked) blocks.push_back(caution(kCautionAsk));
  add_intake_cautions(blocks, input);
  for (const auto& escape : input.plan.escapes) {
    if (!escape.escape.fits) blocks.push_back(caution(escape.says));
  }
  add_cautions(blocks, input);
  add_maps(blocks, input, {true, true, 560});
  blocks.push_back(table(rebuild_table(input)));
  blocks.push_back(table(wire_table(input)));
  add_board(blocks, input);
  if (Table cannot = unreached_table(input); !cannot.rows.empty()) blocks.push_back(table(std::move(cannot)));
  if (!input.plan.wires.empty()) {
    blocks.push_back(table(cut_list(input)));
    blocks.push_back(table(signal_table(input)));
  }
  if (Table pairs = pair_table(input); !pairs.rows.empty()) blocks.push_back(table(std::move(pairs)));
  if (Table how = procedure_table(input); !how.rows.empty()) blocks.push_back(table(std::move(how)));
  for (const auto& escape : input.plan.escapes) {
    if (escape.escape.fits && !escape.says.empty()) blocks.push_back(text(escape.says));
  }
  if (!input.plan.sizes.empty()) blocks.push_back(table(size_table(input)));
  if (input.plan.bound) {
    blocks.push_back(heading("Why the count is a bound"));
    for (const std::string& why : input.plan.because_bound) blocks.push_back(text(why));
  }
  blocks.push_back(caution(kCautionLaw));
  blocks.push_back(form({"wired by", "date"}));
  return sheet;
}

}  // namespace landfall::report
