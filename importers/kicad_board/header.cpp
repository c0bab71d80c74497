#include <algorithm>
#include <array>

#include <fmt/format.h>

#include "importers/kicad_board/reader.hpp"

// The tables at a board's head: layers, nets, net classes, plot settings. FORMATS.md 1.3, 1.4, 1.6.

namespace landfall::importers::kicad_board {
namespace {

constexpr std::int64_t kCanonicalLayerNames = 20200922;

struct LayerLine {
  std::string name;
  int rank = 0;  // order from the front; the back is the largest
};

// Rank of a copper layer by the ordinal of files before 20200922; nothing for other layers.
std::optional<int> rank_by_ordinal(std::int64_t version, std::int64_t ordinal) {
  constexpr int kBack = 1000;
  if (version <= 3) {  // 2013: 15 front, 0 back, inner descending
    if (ordinal < 0 || ordinal > 15) return std::nullopt;
    return ordinal == 0 ? kBack : static_cast<int>(15 - ordinal);
  }
  if (ordinal < 0 || ordinal > 31) return std::nullopt;
  return ordinal == 31 ? kBack : static_cast<int>(ordinal);
}

std::optional<int> rank_by_name(std::string_view name) {
  if (name == "F.Cu") return 0;
  if (name == "B.Cu") return 1000;
  if (!name.starts_with("In") || !name.ends_with(".Cu")) return std::nullopt;
  const auto n = parse_integer(name.substr(2, name.size() - 5));
  if (!n || *n < 1 || *n > 99) return std::nullopt;
  return static_cast<int>(*n);
}

}  // namespace

void Reader::read_layers() {
  std::vector<LayerLine> copper;
  while (const Field line = in_.next()) {
    if (!line.list()) continue;
    const auto ordinal = parse_integer(line.text);
    const std::size_t offset = line.offset;
    const std::string name = text();
    const std::string type = text();
    in_.leave();
    layer_names_.insert(name);
    const bool by_ordinal = version_ > 0 && version_ < kCanonicalLayerNames && ordinal;
    const auto rank = by_ordinal ? rank_by_ordinal(version_, *ordinal) : rank_by_name(name);
    if (rank) copper.push_back({name, *rank});
    const bool copper_type = type == "signal" || type == "power" || type == "mixed" || type == "jumper";
    if (!ordinal || (!rank && copper_type)) {
      warn(offset, "layer-table",
           "a line of the table of layers that cannot be read: what lies on that layer is lost");
    }
  }
  // A version that cannot be true turns the order around: F.Cu is never behind, B.Cu never before another.
  const auto contradicts = [&copper](const LayerLine& line) {
    return std::any_of(copper.begin(), copper.end(), [&line](const LayerLine& other) {
      return (line.name == "F.Cu" && other.rank < line.rank) ||
             (line.name == "B.Cu" && other.rank > line.rank);
    });
  };
  if (std::any_of(copper.begin(), copper.end(), contradicts)) {
    log_.warn(0, 0, "layer-order",
              "the layers' numbers are not those of the file's version: their names were taken");
    std::vector<LayerLine> named;
    for (const LayerLine& line : copper) {
      if (const auto rank = rank_by_name(line.name)) named.push_back({line.name, *rank});
    }
    copper = std::move(named);
  }
  std::stable_sort(copper.begin(), copper.end(),
                   [](const auto& a, const auto& b) { return a.rank < b.rank; });
  if (copper.size() > kMostLayers) copper.resize(kMostLayers);
  board_.layers.clear();
  for (const LayerLine& line : copper) {
    layer_by_name_[line.name] = static_cast<int>(board_.layers.size());
    board_.layers.push_back(line.name);
  }
  if (board_.layers.empty()) return;
  // Files of before 2020 use the user's names everywhere, but a wildcard or a default still says F.Cu, B.Cu.
  layer_by_name_.try_emplace("F.Cu", 0);
  layer_by_name_.try_emplace("B.Cu", static_cast<int>(board_.layers.size()) - 1);
}

LayerSet Reader::layers_named(std::string_view name) const {
  const auto count = static_cast<int>(board_.layers.size());
  if (count == 0) return 0;
  if (name == "*.Cu") return count == kMostLayers ? ~LayerSet{0} : layer_bit(count) - 1;
  if (name == "F&B.Cu") return layer_bit(0) | layer_bit(count - 1);
  const auto layer = copper_layer(name);
  return layer ? layer_bit(*layer) : 0;
}

std::optional<int> Reader::copper_layer(std::string_view name) const {
  const auto found = layer_by_name_.find(name);
  if (found == layer_by_name_.end()) return std::nullopt;
  return found->second;
}

bool Reader::is_layer(std::string_view name) const {
  // Those of a board without a complete table; of 2013 too.
  static constexpr std::array<std::string_view, 36> kNames{
      "F.Adhes",    "B.Adhes",     "F.Paste",    "B.Paste",     "F.SilkS",    "B.SilkS",
      "F.Mask",     "B.Mask",      "F.CrtYd",    "B.CrtYd",     "F.Fab",      "B.Fab",
      "Dwgs.User",  "Cmts.User",   "Eco1.User",  "Eco2.User",   "Edge.Cuts",  "Margin",
      "Edge_Cuts",  "PCB_Edges",   "F&B.Cu",     "F.Cu",        "B.Cu",       "Drawings",
      "Comments",   "Eco1",        "Eco2",       "SilkS_Front", "SilkS_Back", "Adhes_Front",
      "Adhes_Back", "SoldP_Front", "SoldP_Back", "Mask_Front",  "Mask_Back",  "Rescue"};
  if (name.empty() || name.starts_with("User.") || name.starts_with("*.") || layer_names_.contains(name))
    return true;
  return std::find(kNames.begin(), kNames.end(), name) != kNames.end();
}

LayerSet Reader::layer_set() {
  LayerSet set = 0;
  odd_layer_ = false;
  while (const Field name = in_.atom()) {
    const LayerSet named = layers_named(name.text);
    set |= named;
    odd_layer_ = odd_layer_ || (named == 0 && !is_layer(name.text));
  }
  in_.leave();
  return set;
}

void Reader::read_net() {
  const Field code_field = in_.atom();
  const auto code = parse_integer(code_field.text);
  const std::size_t offset = code_field.offset;
  const std::string name = text();
  in_.leave();
  if (!code) {
    warn(offset, "number", "a net without a code in the table of nets: skipped");
    return;
  }
  has_net_table_ = true;
  const auto [entry, fresh] = net_by_code_.try_emplace(*code, kNone);
  if (!fresh) {
    warn(offset, "net-twice",
         fmt::format("net {} stands twice in the table of nets: the first stands", *code));
    return;
  }
  if (*code != 0) entry->second = net_named(name);
}

void Reader::read_net_class() {
  const std::string name = text();
  in_.atom();  // description
  Nm drill = 0;
  while (const Field field = in_.next()) {
    if (!field.list()) continue;
    if (field.text == "via_drill") {
      drill = length().value_or(0);
      in_.leave();
    } else if (field.text == "add_net") {
      const std::string net = text();
      in_.leave();
      if (drill > 0) class_drill_by_net_[net] = drill;
    } else {
      in_.leave();
    }
  }
  if (name == "Default") default_drill_ = drill;
}

void Reader::read_tenting(Cover& front, Cover& back) {
  // 9: (tenting front back), (tenting none); 10: (tenting (front yes) (back no)).
  bool new_form = false;
  Cover words_front = Cover::kOpen;
  Cover words_back = Cover::kOpen;
  while (const Field field = in_.next()) {
    if (field.atom()) {
      if (field.text == "front") words_front = Cover::kTented;
      if (field.text == "back") words_back = Cover::kTented;
      continue;
    }
    new_form = true;
    Cover* side = field.text == "front" ? &front : nullptr;
    if (field.text == "back") side = &back;
    const Field answer = in_.atom();
    const bool yes = !answer || answer.text == "yes";
    const bool stated = !answer || answer.text == "yes" || answer.text == "no";
    in_.leave();
    if (side != nullptr && stated) *side = yes ? Cover::kTented : Cover::kOpen;
  }
  if (new_form) return;
  front = words_front;
  back = words_back;
}

void Reader::read_setup() {
  while (const Field field = in_.next()) {
    if (!field.list()) continue;
    if (field.text == "tenting") {
      read_tenting(front_, back_);
    } else if (field.text == "pcbplotparams") {
      while (const Field option = in_.next()) {
        if (!option.list()) continue;
        if (option.text == "viasonmask") {
          // Before version 9 whether mask covers vias is a plot setting: true leaves them open.
          if (in_.atom().text == "true") front_ = back_ = Cover::kOpen;
        }
        in_.leave();
      }
    } else {
      in_.leave();
    }
  }
}

void Reader::read_title_block() {
  while (const Field field = in_.next()) {
    if (!field.list()) continue;
    if (field.text == "title") board_.title = text();
    in_.leave();
  }
}

}  // namespace landfall::importers::kicad_board
