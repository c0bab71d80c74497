#include "importers/ipc_2581/reader.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>

#include <fmt/format.h>

#include "importers/ipc_2581/ipc_2581.hpp"
#include "importers/text/name_guard.hpp"
#include "netdb/model/counted.hpp"

namespace landfall::importers::ipc_2581 {
namespace {

// A remainder of a length counts in 1e-8 of its unit.
constexpr std::array<std::int64_t, 9> kTens{1,       10,        100,        1'000,      10'000,
                                            100'000, 1'000'000, 10'000'000, 100'000'000};
constexpr std::int64_t kParts = kTens.back();

}  // namespace

std::optional<Unit> unit_named(std::string_view word) {
  if (word == "MILLIMETER" || word == "MM") return Unit{1'000'000};  // MM: seen in a home-made file
  if (word == "MICRON") return Unit{1'000};
  if (word == "INCH") return Unit{25'400'000};
  return std::nullopt;
}

std::optional<double> parse_double(std::string_view text) {
  if (text.starts_with('+')) text.remove_prefix(1);
  if (text.find_first_not_of("+-.0123456789eE") != std::string_view::npos) return std::nullopt;
  double value = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (error != std::errc() || end != text.data() + text.size() || !std::isfinite(value)) return std::nullopt;
  return value;
}

namespace {

// "-12.345678": digits with at most one point and few enough for int64, as nearly all lengths are written; of
// all else nothing. In one walk: digits to an integer, in 1e-8 of a unit, so that no double is involved.
std::optional<Nm> plain_length(std::string_view text, Unit unit) {
  const char* at = text.data();
  const char* const end = at + text.size();
  const bool negative = at != end && *at == '-';
  if (negative) ++at;
  if (end - at > 16) return std::nullopt;
  const auto digits_to = [&](std::int64_t value) {
    for (; at != end; ++at) {
      const auto digit = static_cast<unsigned>(*at) - '0';
      if (digit > 9) break;
      value = value * 10 + static_cast<std::int64_t>(digit);
    }
    return value;
  };
  const char* const start = at;
  const std::int64_t whole = digits_to(0);
  if (at == start || whole > kFarthest) return std::nullopt;  // so that times 25.4e6 fits
  std::int64_t part = 0;
  if (at != end) {
    if (*at != '.') return std::nullopt;
    const char* const point = ++at;
    part = digits_to(0);
    const auto decimals = static_cast<std::size_t>(at - point);
    if (at != end || decimals >= kTens.size()) return std::nullopt;
    part *= kTens[kTens.size() - 1 - decimals];
  }
  const Nm nm = whole * unit.nm + (part * unit.nm + kParts / 2) / kParts;
  if (nm > kFarthest) return std::nullopt;
  return negative ? -nm : nm;
}

}  // namespace

std::optional<Nm> parse_length(std::string_view text, Unit unit) {
  if (const auto plain = plain_length(text, unit)) return plain;
  const auto blank = [](char c) { return c == ' ' || c == '\t' || c == '\r' || c == '\n'; };
  while (!text.empty() && blank(text.front())) text.remove_prefix(1);
  while (!text.empty() && blank(text.back())) text.remove_suffix(1);
  if (std::any_of(text.begin(), text.end(), [](char c) { return c == 'e' || c == 'E'; })) {
    const auto value = parse_double(text);
    if (!value || std::abs(*value) * static_cast<double>(unit.nm) > static_cast<double>(kFarthest))
      return std::nullopt;
    return std::llround(*value * static_cast<double>(unit.nm));
  }
  const bool negative = text.starts_with('-');
  if (negative || text.starts_with('+')) text.remove_prefix(1);
  std::int64_t whole = 0;
  std::int64_t part = 0;
  std::int64_t weight = kParts;
  const std::int64_t most = kFarthest / unit.nm;
  bool any = false;
  bool behind = false;
  for (const char c : text) {
    if (c == '.' && !behind) {
      behind = true;
      continue;
    }
    if (c < '0' || c > '9') return std::nullopt;
    any = true;
    if (!behind) {
      whole = whole * 10 + (c - '0');
      if (whole > most) return std::nullopt;
    } else if (weight > 1) {
      weight /= 10;
      part += weight * (c - '0');
    }
  }
  if (!any) return std::nullopt;
  // part * nm passes int64's range for neither unit: 1e8 * 25.4e6 = 2.54e15.
  const Nm nm = whole * unit.nm + (part * unit.nm + kParts / 2) / kParts;
  if (nm > kFarthest) return std::nullopt;
  return negative ? -nm : nm;
}

Point Xform::place(Point p) const {
  p = p - offset;
  if (rotation != 0) p = turned(p, rotation);
  if (mirror) p.x = -p.x;
  if (scale != 1) {
    p.x = std::llround(static_cast<double>(p.x) * scale);
    p.y = std::llround(static_cast<double>(p.y) * scale);
  }
  return p;
}

double Xform::angle(double own) const {
  return normal_degrees(mirror ? -(rotation + own) : rotation + own);
}

bool Reader::fail(std::string_view code, std::string message, std::size_t offset) {
  const Place place = text_place(bytes_, offset);
  log_.error(place.line, place.column, code, std::move(message));
  return false;
}

void Reader::warn(const Node& node, std::string_view code, std::string message) {
  // What is only counted needs no place: finding one costs a walk over the text before it.
  if (log_.count(code) >= Diagnostics::kKept) return log_.warn(0, 0, code, std::move(message));
  const Place place = text_place(bytes_, node ? node.offset() : section_base_);
  log_.warn(place.line, place.column, code, std::move(message));
}

std::optional<Nm> Reader::length(const Node& node, std::string_view name) {
  return parse_length(attribute(node, name), unit_);
}

std::optional<Point> Reader::point(const Node& node, std::string_view x, std::string_view y) {
  const auto px = length(node, x);
  const auto py = length(node, y);
  if (!px || !py) return std::nullopt;
  return Point{*px, *py};
}

Point Reader::location(const Node& node) {
  const Node own = child_named(node, "Location");
  if (!own) return {};
  const auto at = point(own);
  if (!at) warn(own, "number", "a place that is no number or lies beyond 10 m: taken as 0, 0");
  return at.value_or(Point{});
}

Xform Reader::xform_of(const Node& node, Unit unit) {
  Xform xform;
  if (!node) return xform;
  xform.rotation = parse_double(attribute(node, "rotation")).value_or(0);
  const std::string_view mirror = attribute(node, "mirror");
  xform.mirror = mirror == "true" || mirror == "TRUE" || mirror == "1";
  const double scale = parse_double(attribute(node, "scale")).value_or(1);
  if (scale > 0 && scale < 1000) xform.scale = scale;
  xform.offset = {parse_length(attribute(node, "xOffset"), unit).value_or(0),
                  parse_length(attribute(node, "yOffset"), unit).value_or(0)};
  return xform;
}

std::string Reader::name_of(std::string_view raw, const Node& node) {
  GuardedName guarded = guarded_name(raw);
  if (guarded.cut) warn(node, "name-long", "a name of more than 1000 bytes was cut");
  return std::move(guarded.text);
}

bool Reader::read_units(const Node& header) {
  const std::string_view word = attribute(header, "units");
  const auto unit = unit_named(word);
  const std::size_t offset = header.offset();
  if (!unit && word.empty()) return fail("units", "the file does not state its units (CadHeader)", offset);
  if (!unit)
    return fail("units", fmt::format("units {} are none of MILLIMETER, MICRON, INCH", word.substr(0, 40)),
                offset);
  unit_ = *unit;
  return true;
}

void Reader::read_layers(const Node& data) {
  std::vector<std::pair<std::string, Layer*>> copper;
  for (const Node& node : data.children()) {
    if (local_name(node) != "Layer") continue;
    Layer layer;
    const std::string_view function = attribute(node, "layerFunction");
    const std::string_view side = attribute(node, "side");
    layer.side = side == "BOTTOM" ? Side::kBottom : (side == "TOP" ? Side::kTop : Side::kThrough);
    layer.internal = side == "INTERNAL";
    layer.negative = attribute(node, "polarity") == "NEGATIVE";
    for (const std::string_view word : {"CONDUCTOR", "SIGNAL", "PLANE", "MIXED", "CONDFILM", "CONDFOIL"}) {
      if (function == word) layer.role = LayerRole::kCopper;
    }
    if (function == "DRILL" || function == "ROUT") layer.role = LayerRole::kDrill;
    if (function == "SOLDERMASK")
      layer.role = side == "BOTTOM" ? LayerRole::kMaskBottom : LayerRole::kMaskTop;
    if (const Node span = child_named(node, "Span")) {
      layer.from = attribute(span, "fromLayer");
      layer.to = attribute(span, "toLayer");
    }
    const auto [entry, fresh] = layers_.try_emplace(std::string(attribute(node, "name")), layer);
    if (!fresh) {
      warn(node, "layer-twice",
           fmt::format("layer {} stands twice: the first stands", name_of(entry->first, node)));
    } else if (layer.role == LayerRole::kCopper) {
      copper.emplace_back(entry->first, &entry->second);
    }
  }
  // The stack-up with most copper layers gives the order; the list of layers where it does not name them all.
  std::map<std::string_view, std::pair<std::int64_t, std::size_t>> best;
  for (const Node& stackup : data.children()) {
    if (local_name(stackup) != "Stackup") continue;
    std::map<std::string_view, std::pair<std::int64_t, std::size_t>> order;
    std::size_t place = 0;
    for (const Node& group : stackup.children()) {
      for (const Node& entry : group.children()) {
        if (local_name(entry) != "StackupLayer") continue;
        const auto sequence = parse_integer(attribute(entry, "sequence")).value_or(0);
        const std::string_view ref = attribute(entry, "layerOrGroupRef");
        const auto known = layers_.find(ref);
        if (known != layers_.end() && known->second.role == LayerRole::kCopper)
          order.try_emplace(ref, sequence, ++place);
      }
    }
    if (order.size() > best.size()) {
      best = std::move(order);
      if (const auto thick = length(stackup, "overallThickness"); thick && *thick > 0)
        board_.thickness = *thick;
    }
  }
  if (!copper.empty() && best.size() == copper.size()) {
    std::stable_sort(copper.begin(), copper.end(),
                     [&](const auto& a, const auto& b) { return best.at(a.first) < best.at(b.first); });
  }
  if (copper.size() > 1 && copper.front().second->side == Side::kBottom &&
      copper.back().second->side == Side::kTop)
    std::reverse(copper.begin(), copper.end());
  for (auto& [name, layer] : copper) {
    if (board_.layers.size() >= static_cast<std::size_t>(kMostLayers)) {
      log_.warn(0, 0, "layers", "more than 64 copper layers: the rest is left out");
      break;
    }
    layer->copper = static_cast<int>(board_.layers.size());
    board_.layers.push_back(guarded_name(name).text);
  }
}

Reader::Node Reader::step_of(const Node& data, std::string_view wanted) {
  Node chosen;
  for (const Node& node : data.children()) {
    if (local_name(node) != "Step") continue;
    if (!chosen || attribute(node, "name") == wanted) chosen = node;
    if (attribute(node, "name") == wanted) break;
  }
  std::set<std::string_view> seen;
  while (chosen && !child_named(chosen, "Component") && seen.insert(attribute(chosen, "name")).second) {
    const Node repeat = child_named(chosen, "StepRepeat");
    if (!repeat) break;
    const std::string_view inner = attribute(repeat, "stepRef");
    Node next;
    for (const Node& node : data.children()) {
      if (local_name(node) == "Step" && attribute(node, "name") == inner) next = node;
    }
    if (!next) break;
    warn(chosen, "panel",
         fmt::format("{} is a panel: the step {} that it repeats was read",
                     attribute(chosen, "name").substr(0, 100), inner.substr(0, 100)));
    chosen = next;
  }
  return chosen;
}

void Reader::read_profile(const Node& profile) {
  for (const Node& polygon : profile.children()) {
    if (local_name(polygon) != "Polygon" && local_name(polygon) != "Cutout") continue;
    const Ring ring = read_ring(polygon, unit_);
    for (std::size_t i = 0; i < ring.size(); ++i) {
      const Point to = ring[i + 1 < ring.size() ? i + 1 : 0];
      if (ring[i] != to) board_.outline.push_back({ring[i], to});
    }
  }
}

// Values, and parts that are not fitted.
void Reader::read_bom(const Node& root) {
  for (const Node& bom : root.children()) {
    if (local_name(bom) != "Bom") continue;
    for (const Node& item : bom.children()) {
      if (local_name(item) != "BomItem") continue;
      std::string_view value;
      for (const Node& own : child_named(item, "Characteristics").children()) {
        std::string word(attribute(own, "textualCharacteristicName"));
        for (char& c : word) c = c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c;
        if (word == "VALUE") value = attribute(own, "textualCharacteristicValue");
      }
      for (const Node& use : item.children()) {
        if (local_name(use) != "RefDes") continue;
        const Index part = known_part(attribute(use, "name"));
        if (part == kNone) continue;
        const std::string_view populate = attribute(use, "populate");
        if (populate == "false" || populate == "FALSE" || populate == "0") board_.parts[part].fitted = false;
        if (!value.empty()) board_.parts[part].value = name_of(value, item);
      }
    }
  }
}

std::string Reader::writer_of(const Node& root) const {
  const Node history = child_named(root, "HistoryRecord");
  const Node package = child_named(child_named(history, "FileRevision"), "SoftwarePackage");
  std::string writer(attribute(package, "name"));
  const std::string_view revision = attribute(package, "revision");
  if (!revision.empty()) writer += (writer.empty() ? "" : " ") + std::string(revision);
  if (writer.empty()) writer = attribute(history, "software");
  return guarded_name(writer).text;
}

// The whole file where it is plain, as nearly all are; else what it is without its layers' features, each of
// which is then read by itself.
bool Reader::read_tree() {
  plain_ = tree_.read_plain(bytes_, "LayerFeature", "Step");
  if (plain_) return true;
  split_ = split_sections(bytes_, "LayerFeature");
  if (split_.too_deep != std::string_view::npos) {
    fail("depth", "elements are nested more than 256 deep", split_.too_deep);
    return false;
  }
  const auto parsed = tree_.read_any(split_.rest, [&](std::size_t offset) { return split_.origin(offset); });
  if (!parsed) {
    fail("xml", fault_text(bytes_, parsed.description()),
         split_.origin(static_cast<std::size_t>(std::max<std::ptrdiff_t>(parsed.offset, 0))));
    return false;
  }
  if (split_.doctype != std::string_view::npos) {
    const Place place = text_place(bytes_, split_.doctype);
    log_.warn(place.line, place.column, "doctype", "the file's own entities are not expanded");
  }
  return true;
}

void Reader::read_layer_features(const Node& step) {
  for (const Node& node : step.children()) {
    if (local_name(node) == "PadStack") read_old_padstack(node);
    if (local_name(node) == "LayerFeature" && plain_) {
      section_base_ = node.offset() - 1;  // its '<'
      log_.goes_on(section_base_);
      read_layer_feature(node);
      section_base_ = 0;
    } else if (local_name(node) == "LayerFeature") {
      const auto section = parse_integer(attribute(node, "n"));
      if (section && *section >= 0 && static_cast<std::size_t>(*section) < split_.sections.size()) {
        const std::string_view own = split_.sections[static_cast<std::size_t>(*section)];
        log_.goes_on(static_cast<std::size_t>(own.data() - bytes_.data()));
        read_section(static_cast<std::size_t>(*section));
      }
    }
    if (log_.has_errors()) return;
  }
}

std::optional<Design> Reader::run() {
  if (!read_tree()) return std::nullopt;
  const Node root = child_named(tree_.document(), "IPC-2581");
  if (!root) {
    fail("format", "this is no IPC-2581 file", 0);
    return std::nullopt;
  }
  const Node content = child_named(root, "Content");
  const Node ecad = child_named(root, "Ecad");
  mode_ = attribute(child_named(content, "FunctionMode"), "mode");
  std::string version(attribute(root, "revision"));
  const std::string writer = writer_of(root);
  from_kicad_ = writer.find("KiCad") != std::string::npos;
  const Node data = child_named(ecad, "CadData");
  if (ecad) {
    if (!read_units(child_named(ecad, "CadHeader"))) return std::nullopt;
    read_dictionaries(content);
    read_layers(data);
    const Node step = step_of(data, attribute(child_named(content, "StepRef"), "name"));
    board_.title = name_of(attribute(step, "name"), step);
    read_profile(child_named(step, "Profile"));
    read_packages(step);
    read_components(step);
    read_bom(root);
    read_logical_nets(step);
    read_phy_nets(step);
    read_padstack_definitions(step);
    read_layer_features(step);
    if (log_.has_errors()) return std::nullopt;
  }
  finish();
  return Design{"ipc-2581", version, writer, std::move(board_)};
}

void Reader::finish() {
  add_missing_lands();
  cut_holes();
  doubt_negative_layers();
  assemble_holes();
  assemble_loose_pads();
  match_phy_nets();
  cover_vias();
  settle_sides();
  add_zones();
  strip_prefixes();
  if (without_pads_ > 0) {
    log_.warn(
        0, 0, "no-pad",
        count_of(without_pads_, "pin") + " without a pad on a copper layer: placed where the package says");
  }
  if (contradictions_ > 0) {
    log_.warn(
        0, 0, "net-differs",
        count_of(contradictions_, "pad") + " on another net than the list of nets says: the list stands");
  }
  if (board_.pins.empty()) {
    log_.warn(
        0, 0, "no-pins",
        fmt::format("the file has no pins: it was written in {} mode; ask for a full or an assembly export",
                    mode_.empty() ? "an unstated" : guarded_name(mode_).text));
  }
}

}  // namespace landfall::importers::ipc_2581

namespace landfall::importers {

std::optional<Design> read_ipc_2581(std::string_view bytes, Diagnostics& log) {
  return ipc_2581::Reader(bytes, log).run();
}

}  // namespace landfall::importers
