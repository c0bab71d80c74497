// What only the whole file tells: its writer and names, the bottom side's number, the sense of mask digits
// and angles.
#include <algorithm>
#include <cmath>
#include <numbers>

#include "importers/ipc_d_356/drafts.hpp"
#include "importers/text/encoding.hpp"
#include "importers/text/kicad_words.hpp"
#include "importers/text/name_guard.hpp"

namespace landfall::importers::ipc_d_356 {
namespace {

constexpr int kTopAccess = 1;

bool all_digits(std::string_view text) {
  return !text.empty() && text.find_first_not_of("0123456789") == std::string_view::npos;
}

Writer find_writer(const Drafts& drafts) {
  const std::string_view said = drafts.writer;
  const auto says = [said](std::string_view word) { return said.find(word) != std::string_view::npos; };
  if (said.empty()) return drafts.array_dim ? Writer::kKicad : Writer::kOther;
  if (says("EAGLE")) return Writer::kEagle;
  if (says("gEDA PCB")) return Writer::kGeda;
  if (says("Allegro")) return Writer::kAllegro;
  if (says("IPC-D-356A Netlist")) return Writer::kLibrepcb;
  return Writer::kOther;
}

// KiCad's names in capitals, of which the last 14 signs are left, or the last 10 and "#n" where two became
// equal: "NET-(R1-PAD2)", "TED-(J1-PAD16)", "ASH}IO4-PADP7)".
bool is_cut_kicad_name(std::string_view net) {
  constexpr std::size_t kKept = 14;
  constexpr std::size_t kKeptOfEqual = 10;
  bool cut = net.size() == kKept;
  if (const auto number = net.rfind('#'); number == kKeptOfEqual && all_digits(net.substr(number + 1))) {
    net = net.substr(0, number);
    cut = true;
  }
  if (!net.ends_with(')')) return false;
  const auto bracket = net.find('(');
  if (bracket == std::string_view::npos) return cut;  // only a name of which the beginning is gone
  for (const std::string_view kind : {std::string_view("NET-"), std::string_view("UNCONNECTED-")}) {
    const std::string_view before = net.substr(0, bracket);
    if (before == kind || (cut && kind.ends_with(before))) return true;
  }
  return false;
}

MaskRule find_mask_rule(const Tally& tally) {
  const std::size_t open = tally.top.own + tally.below.own;
  const std::size_t covered = tally.top.other + tally.below.other;
  if (open == covered) return MaskRule::kUnknown;
  // Through pins are open on both sides, and must say so by the same rule.
  if (open > covered)
    return tally.through.own >= tally.through.other ? MaskRule::kNamesOpen : MaskRule::kUnknown;
  return tally.through.other >= tally.through.own ? MaskRule::kNamesCovered : MaskRule::kUnknown;
}

// The bottom side's number is the highest that a surface record (327) has. A via may name an inner layer, so
// it is asked only where no pin is on the bottom; L fields and conductors name layers that exist.
int find_layer_count(const Tally& tally) {
  const int last = tally.bottom > kTopAccess ? tally.bottom : tally.access;
  return std::clamp(std::max({last, tally.layer, 2}), 2, kMostLayers);
}

// KiCad writes the negative of the orientation (seen: the boards and test netlists of icepi-zero and
// homebrew-ecp5-cm). Radians of a file that says so, unless an angle is more than a full turn of them: three
// columns hold no useful radians, and home-made writers mean degrees.
double find_angle(const Drafts& drafts, Writer writer, Diagnostics& log) {
  const double sense = writer == Writer::kKicad ? -1 : 1;
  if (!drafts.radians) return sense;
  if (drafts.tally.over_turn == 0) return sense * 180 / std::numbers::pi;
  log.warn(drafts.tally.over_turn, 68, "angle-units",
           "by its units this file's angles are radians, but this is more than a turn: all are taken as "
           "degrees");
  return sense;
}

}  // namespace

void Tally::add(const Feature& feature) {
  const Measures& m = feature.measures;
  access = std::max<int>(access, m.access);
  layer = std::max<int>({layer, m.first_layer, m.last_layer});
  if (over_turn == 0 && std::abs(static_cast<double>(m.turn)) > 2 * std::numbers::pi)
    over_turn = feature.line;
  if (m.code == 327 && m.access > bottom) {
    bottom = m.access;
    below = {};
  }
  if (m.mask < 0 || feature.pin == kNone) return;
  const auto count = [&m](Pads& pads, int own, int other) {
    if (m.mask == own) ++pads.own;
    if (m.mask == other) ++pads.other;
  };
  if (m.code == 317) {
    count(through, 3, 0);
  } else if (m.code == 327 && m.access == kTopAccess) {
    count(top, 1, 2);
  } else if (m.code == 327 && m.access == bottom) {
    count(below, 2, 1);
  }
}

std::string name_text(const Drafts& drafts, std::string_view raw) {
  return guarded_name(drafts.latin_1 ? utf_8_of_latin_1(raw) : std::string(raw)).text;
}

FileRules find_rules(const Drafts& drafts, Diagnostics& log) {
  FileRules rules;
  rules.writer = find_writer(drafts);
  rules.bottom = drafts.tally.bottom;
  rules.layer_count = find_layer_count(drafts.tally);
  rules.mask = find_mask_rule(drafts.tally);
  rules.degrees_per_turn = find_angle(drafts, rules.writer, log);
  return rules;
}

bool is_made_up(Writer writer, std::string_view net) {
  switch (writer) {
    case Writer::kKicad:
      return is_automatic_net_name(leaf_name(net)) || is_cut_kicad_name(net);
    case Writer::kEagle:  // N$1 [seen: eagle-7.1-small.ipc]
      return net.starts_with("N$") && all_digits(net.substr(2));
    case Writer::kGeda:  // from memory: gEDA's gnetlist
      return net.starts_with("unnamed_net") && all_digits(net.substr(11));
    case Writer::kAllegro:  // N18417020 of one schematic program [seen: minnowmax-A1.ipc]; UNNAMED_ of
                            // another, from memory
      return net.starts_with("UNNAMED_") || (net.size() > 5 && net[0] == 'N' && all_digits(net.substr(1)));
    case Writer::kLibrepcb:  // from memory: N1, N2 ...; the index in braces is the file's own addition
      if (const auto brace = net.find('{'); brace != std::string_view::npos) net = net.substr(0, brace);
      return net.starts_with('N') && all_digits(net.substr(1));
    case Writer::kOther:
      return false;
  }
  return false;
}

}  // namespace landfall::importers::ipc_d_356
