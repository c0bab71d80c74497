// What the sheets are put together from: blocks, cells and figures as they are printed (LOOK, "Words and
// figures": mm one place for wires, ps and money whole, U+2212 as minus, no-break space before units).
#pragma once

#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "viewer/report/sheets.hpp"

namespace landfall::report {

inline constexpr std::string_view kNoBreak = "\u00A0";

Block heading(std::string text);
Block text(std::string text);
Block lead(std::string text);
Block caution(std::string_view text);
Block form(std::vector<std::string> fields);
Block table(Table table);

// Cells.
Cell say(std::string text);
Cell count(std::size_t n);
Cell number(int n, const std::string& prefix = "");  // with a prefix it is a text, "R1"
Cell blank();
Cell tick(bool done);  // of a column of boxes
// Millimetres with one place; `to_cut` rounds up, so that no wire is cut short.
Cell length(Nm nm, bool to_cut = false);
Cell money(double value, bool sign = false);
Cell minutes(double value);
// Share as "12 %"; so many places.
Cell percent(double share, int places = 0);
Cell ohm(double value);
// "62 % (48 to 75)"; nothing: "not known".
Cell chance(const std::optional<rework::verdict::Interval>& chance);

// "3 wires", "1 wire".
std::string count_of(std::size_t n, std::string_view noun);
// "a, b and c".
std::string listed(const std::vector<std::string>& items);
// A number with '-' as U+2212.
std::string signed_text(std::string text);
// "2026-11-26T09:30:00Z" as "2026-11-26 09:30 UTC"; any other text as it is.
std::string day_text(const std::string& iso);

// Names on the job's board; empty for kNone.
std::string net_name(const app::JobAnswer& job, Index net);
std::string group_name(const app::JobAnswer& job, Index net);  // the lane, else the bus

// "U1, U2 on skua4; job 3: no start".
std::string job_line(const SheetInput& input);
// "9 wires, 3 rebuilds", with 'at most' where it is a bound.
std::string work_line(const SheetInput& input);
// Which sites of how many are damaged, by kind.
std::string damage_line(const SheetInput& input);

// What the intake's answers lead to; nothing where nobody was asked.
void add_intake_cautions(std::vector<Block>& blocks, const SheetInput& input);

// What stands, channels and lanes: what both the decision and the record show. At most `most` rows.
Table channel_table(const SheetInput& input, std::size_t most);

// The map of each lifted part.
struct MapWish {
  bool needs = false;  // the needs' signs
  bool wires = false;  // and the wires' ways with their numbers
  double height = 560;
};
void add_maps(std::vector<Block>& blocks, const SheetInput& input, const MapWish& wish);

// The board around the wires, if there are any with a way.
void add_board(std::vector<Block>& blocks, const SheetInput& input);

// The sheets.
Sheet wiring_sheet(const SheetInput& input);
Sheet measuring_sheet(const SheetInput& input);
Sheet decision_sheet(const SheetInput& input);
Sheet referral_sheet(const SheetInput& input);
Sheet record_sheet(const SheetInput& input);

}  // namespace landfall::report
