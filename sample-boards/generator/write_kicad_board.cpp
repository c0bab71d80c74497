#include <array>
#include <map>

#include <fmt/format.h>

#include "sample-boards/generator/planes.hpp"
#include "sample-boards/generator/writers.hpp"

// FORMATS.md section 1: a KiCad 8 board.

namespace landfall::sample {
namespace {

constexpr std::array<const char*, 8> kLayerNames{"F.Cu",   "In1.Cu", "In2.Cu", "In3.Cu",
                                                 "In4.Cu", "In5.Cu", "In6.Cu", "B.Cu"};

std::string mm(std::int64_t nm) {
  std::string text =
      fmt::format("{}{}.{:06}", nm < 0 ? "-" : "", std::abs(nm) / 1'000'000, std::abs(nm) % 1'000'000);
  while (text.back() == '0') text.pop_back();
  if (text.back() == '.') text.pop_back();
  return text == "-0" ? "0" : text;
}

std::string place(Cell c) {
  return mm(c.x * kCell) + " " + mm(c.y * kCell);
}

class Writer {
 public:
  Writer(const Product& product, const Copper& copper) : product_(product), copper_(copper) {
    for (const Component& part : product.components) {
      for (const Terminal& terminal : part.terminals) {
        if (!terminal.net.empty()) codes_.emplace(terminal.net, 0);
      }
    }
    int code = 0;
    for (auto& [name, number] : codes_) number = ++code;
  }

  std::string write() {
    head();
    for (const Component& part : product_.components) footprint(part);
    for (std::size_t i = 0; i < product_.holes.size(); ++i) hole(i);
    outline();
    for (const RoutedTrack& track : copper_.tracks) {
      out_ += fmt::format("  (segment (start {}) (end {}) (width {}) (layer \"{}\") (net {}))\n",
                          place(track.from), place(track.to), mm(kTrackWidth),
                          kLayerNames[static_cast<std::size_t>(track.layer)], codes_.at(track.net));
    }
    for (const RoutedVia& via : copper_.vias) {
      out_ += fmt::format("  (via (at {}) (size {}) (drill {}) (layers \"F.Cu\" \"B.Cu\") (net {}))\n",
                          place(via.at), mm(kViaDiameter), mm(kViaDrill), codes_.at(via.net));
    }
    for (const Plane& plane : product_.planes) zone(plane);
    out_ += ")\n";
    return std::move(out_);
  }

 private:
  void head() {
    out_ += "(kicad_pcb (version 20240108) (generator \"skua4_generator\") (generator_version \"8.0\")\n";
    out_ +=
        "  (general (thickness 1.6))\n  (paper \"A4\")\n  (title_block (title \"Skua 4 main board\") (rev "
        "\"B\"))\n  (layers\n";
    for (std::size_t i = 0; i < kLayerNames.size(); ++i) {
      out_ += fmt::format("    ({} \"{}\" signal)\n", i + 1 == kLayerNames.size() ? 31 : i, kLayerNames[i]);
    }
    out_ +=
        "    (36 \"B.SilkS\" user) (37 \"F.SilkS\" user) (38 \"B.Mask\" user) (39 \"F.Mask\" user) (44 "
        "\"Edge.Cuts\" user)\n  )\n";
    out_ += "  (setup (pad_to_mask_clearance 0) (pcbplotparams (viasonmask false)))\n  (net 0 \"\")\n";
    for (const auto& [name, code] : codes_) out_ += fmt::format("  (net {} \"{}\")\n", code, name);
  }

  void footprint(const Component& part) {
    const char* side = part.bottom ? "B" : "F";
    out_ +=
        fmt::format("  (footprint \"{}\" (layer \"{}.Cu\") (at {})\n", part.footprint, side, place(part.at));
    out_ += fmt::format("    (property \"Reference\" \"{}\" (at 0 -2) (layer \"{}.SilkS\"))\n",
                        part.reference, side);
    out_ += fmt::format("    (property \"Value\" \"{}\" (at 0 2) (layer \"{}.SilkS\"))\n    (attr smd)\n",
                        part.value, side);
    for (const Terminal& t : part.terminals) {
      out_ += fmt::format("    (pad \"{}\" smd {} (at {} {}) (size {} {}) (layers \"{}.Cu\" \"{}.Mask\")",
                          t.number, t.round ? "circle" : "rect", mm((t.at.x - part.at.x) * kCell),
                          mm((t.at.y - part.at.y) * kCell), mm(t.width), mm(t.height), side, side);
      if (!t.net.empty()) out_ += fmt::format(" (net {} \"{}\")", codes_.at(t.net), t.net);
      if (!t.function.empty()) out_ += fmt::format(" (pinfunction \"{}\")", t.function);
      out_ += fmt::format(" (pintype \"{}\"))\n", t.type);
    }
    out_ += "  )\n";
  }

  void hole(std::size_t i) {
    out_ += fmt::format(
        "  (footprint \"skua:Screw\" (layer \"F.Cu\") (at {})\n    (property \"Reference\" \"H{}\" (at 0 -3) "
        "(layer \"F.SilkS\"))\n",
        place(product_.holes[i]), i + 1);
    out_ += "    (property \"Value\" \"3.2 mm\" (at 0 3) (layer \"F.SilkS\"))\n";
    out_ +=
        "    (pad \"\" np_thru_hole circle (at 0 0) (size 3.2 3.2) (drill 3.2) (layers \"*.Cu\" "
        "\"*.Mask\"))\n  )\n";
  }

  void outline() {
    const std::array<Cell, 4> corners{Cell{0, 0}, Cell{kBoardWidth, 0}, Cell{kBoardWidth, kBoardHeight},
                                      Cell{0, kBoardHeight}};
    for (std::size_t i = 0; i < corners.size(); ++i) {
      out_ += fmt::format(
          "  (gr_line (start {}) (end {}) (stroke (width 0.1) (type solid)) (layer \"Edge.Cuts\"))\n",
          place(corners[i]), place(corners[(i + 1) % corners.size()]));
    }
  }

  void zone(const Plane& plane) {
    out_ += fmt::format(
        "  (zone (net {}) (net_name \"{}\") (layer \"{}\") (min_thickness 0.1) (filled_areas_thickness no) "
        "(fill yes)\n",
        codes_.at(plane.net), plane.net, kLayerNames[static_cast<std::size_t>(plane.layer)]);
    out_ += fmt::format("    (polygon (pts (xy {}) (xy {}) (xy {}) (xy {})))\n", place(plane.low),
                        place({plane.high.x, plane.low.y}), place(plane.high),
                        place({plane.low.x, plane.high.y}));
    out_ += fmt::format("    (filled_polygon (layer \"{}\")\n      (pts",
                        kLayerNames[static_cast<std::size_t>(plane.layer)]);
    std::size_t n = 0;
    for (const NmPoint p : plane_ring(plane, copper_))
      out_ += fmt::format("{}(xy {} {})", n++ % 8 == 0 ? "\n        " : " ", mm(p.x), mm(p.y));
    out_ += "))\n  )\n";
  }

  const Product& product_;
  const Copper& copper_;
  std::map<std::string, int> codes_;
  std::string out_;
};

}  // namespace

std::string kicad_board(const Product& product, const Copper& copper) {
  return Writer(product, copper).write();
}

}  // namespace landfall::sample
