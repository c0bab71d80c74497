#include "importers/kicad_board/reader.hpp"

#include <array>

#include <fmt/format.h>

#include "importers/kicad_board/kicad_board.hpp"
#include "importers/text/kicad_words.hpp"

namespace landfall::importers {
namespace kicad_board {
namespace {

constexpr std::int64_t kNewestKnown = 20260206;
constexpr std::size_t kLongestName = 1000;
constexpr std::array<std::string_view, 22> kNotNeeded{"page",
                                                      "paper",
                                                      "target",
                                                      "dimension",
                                                      "image",
                                                      "group",
                                                      "generator_version",
                                                      "links",
                                                      "area",
                                                      "property",
                                                      "embedded_fonts",
                                                      "embedded_files",
                                                      "generated",
                                                      "teardrops",
                                                      "gr_text",
                                                      "gr_text_box",
                                                      "table",
                                                      "variants",
                                                      "no_connects",
                                                      "zones",
                                                      "gr_bbox",
                                                      "gr_curve"};

}  // namespace

void Reader::warn(std::size_t offset, std::string_view code, std::string message) {
  const Place place = in_.place_of(offset);
  log_.warn(place.line, place.column, code, std::move(message));
}

std::optional<Nm> Reader::length() {
  const Field field = in_.atom();
  const auto value = field ? parse_mm(field.text) : std::nullopt;
  if (!value) bad_ = true;
  return value;
}

std::optional<Point> Reader::point() {
  const auto x = length();
  const auto y = length();
  if (!x || !y) return std::nullopt;
  return Point{*x, -*y};
}

std::optional<double> Reader::number() {
  const Field field = in_.atom();
  const auto value = field ? parse_decimal(field.text) : std::nullopt;
  if (!value) bad_ = true;
  return value;
}

bool Reader::flag() {
  const Field field = in_.atom();
  const bool yes = !field || field.text == "yes" || field.text == "true";
  in_.leave();
  return yes;
}

std::string Reader::text() {
  const Field field = in_.atom();
  if (field.text.size() <= kLongestName) return std::string(field.text);
  warn(field.offset, "name-long", "a name of more than 1000 bytes was cut");
  return std::string(field.text.substr(0, kLongestName));
}

Index Reader::net_named(std::string_view name) {
  if (name.empty()) return kNone;
  const auto [entry, fresh] =
      net_by_name_.try_emplace(std::string(name), static_cast<Index>(board_.nets.size()));
  if (fresh) {
    Net net;
    net.name = entry->first;
    net.automatic = is_automatic_net_name(leaf_name(net.name));
    board_.nets.push_back(std::move(net));
  }
  return entry->second;
}

Index Reader::net_reference() {
  const Field first = in_.atom();
  if (!first) {
    in_.leave();
    return kNone;
  }
  const auto code = first.quoted ? std::nullopt : parse_integer(first.text);
  const std::size_t offset = first.offset;
  std::string own(first.text);
  const Field second = in_.atom();
  const bool has_name = static_cast<bool>(second);
  const std::string name(second.text);
  in_.leave();
  if (!code || (!has_name && !has_net_table_)) return net_named(own);
  const auto known = net_by_code_.find(*code);
  if (known == net_by_code_.end()) {
    if (*code == 0) return kNone;
    warn(offset, "net-unknown", fmt::format("net {} is not in the table of nets: taken as no net", *code));
    return has_name ? net_named(name) : kNone;
  }
  if (has_name && known->second != kNone && board_.nets[known->second].name != name) {
    warn(offset, "net-name",
         fmt::format("net {} is called {} here and {} in the table: the table stands", *code, name,
                     board_.nets[known->second].name));
  }
  return known->second;
}

void Reader::read_section(std::string_view name, std::size_t offset) {
  if (name == "segment") return read_segment(offset);
  if (name == "via") return read_via(offset);
  if (name == "footprint" || name == "module") return read_footprint(offset);
  if (name == "zone") return read_zone(offset);
  if (name == "arc") return read_arc(offset);
  if (name == "net") return read_net();
  if (name == "layers") return read_layers();
  if (name == "net_class") return read_net_class();
  if (name == "setup") return read_setup();
  if (name == "title_block") return read_title_block();
  if (name == "gr_line" || name == "gr_arc" || name == "gr_circle" || name == "gr_rect" ||
      name == "gr_poly") {
    Index net = kNone;
    auto drawing = read_drawing(name);
    if (drawing) add_drawing(*drawing, net);
    return;
  }
  if (name == "version") {
    version_text_ = text();
    version_ = parse_integer(version_text_).value_or(0);
    if (version_ > kNewestKnown) {
      warn(
          offset, "version-new",
          fmt::format("version {} is newer than those known here: read as far as understood", version_text_));
    }
  } else if (name == "host" || name == "generator") {
    writer_ = text();
    if (const Field more = in_.atom()) {
      writer_ += ' ';
      writer_ += more.text;
    }
  } else if (name == "general") {
    while (const Field field = in_.next()) {
      if (!field.list()) continue;
      if (field.text == "thickness") board_.thickness = length().value_or(0);
      in_.leave();
    }
    bad_ = false;
    return;
  } else {
    bool known = false;
    for (const std::string_view word : kNotNeeded) known = known || word == name;
    if (!known && ++unknown_[std::string(name)] == 1) {
      warn(offset, "unknown",
           fmt::format("({} ...) is not known here: such lists are skipped", name.substr(0, 60)));
    }
  }
  in_.leave();
}

std::optional<Design> Reader::run() {
  if (!in_.enter("kicad_pcb")) {
    log_.error(1, 1, "format", "this is no KiCad board");
    return std::nullopt;
  }
  while (const Field field = in_.next()) {
    if (!field.list()) continue;
    const std::string name(field.text);  // the view ends with the next question
    const std::size_t offset = field.offset;
    bad_ = false;
    read_section(name, offset);
  }
  if (in_.at_fault()) {
    const Place place = in_.fault_place();
    log_.error(place.line, place.column, "text", in_.fault());
    return std::nullopt;
  }
  finish();
  return Design{"kicad-board", version_text_, writer_, std::move(board_)};
}

void Reader::finish() {
  for (const Index via : vias_without_drill_) {
    Via& v = board_.vias[via];
    const auto own =
        v.net == kNone ? class_drill_by_net_.end() : class_drill_by_net_.find(board_.nets[v.net].name);
    v.drill = own == class_drill_by_net_.end() ? default_drill_ : own->second;
  }
  if (repeated_references_ > 0) {
    log_.warn(
        0, 0, "reference-repeated",
        fmt::format("{} footprints have no reference or one that another has: they are kept apart as NAME#2, "
                    "NAME#3 and so on",
                    repeated_references_));
  }
  if (board_.layers.empty()) log_.warn(0, 0, "layers", "the file has no table of copper layers");
}

}  // namespace kicad_board

std::optional<Design> read_kicad_board(std::string_view bytes, Diagnostics& log) {
  return kicad_board::Reader(bytes, log).run();
}

}  // namespace landfall::importers
