#include <algorithm>
#include <array>

#include "importers/kicad_board/reader.hpp"

namespace landfall::importers::kicad_board {
namespace {

// Every word that begins a list in the boards, footprints and demos at hand (formats 3 of 2013 to 9), and
// those of the developers' documentation and of format 10, from memory. In order, for the search.
constexpr std::array<std::string_view, 277> kWords{
    // clang-format off
    "add_net", "allow_missing_courtyard", "allow_soldermask_bridges",
    "allow_soldermask_bridges_in_footprints", "allow_two_segments", "anchor", "angle", "arc",
    "arc_segments", "area", "arrow1a", "arrow1b", "arrow2a", "arrow2b", "arrow_length", "at", "attr",
    "attributes", "autoplace_cost180", "autoplace_cost90", "aux_axis_origin", "back_post_machining",
    "backdrill", "barcode", "best_length_ratio", "best_width_ratio", "bezier", "bold", "capping", "center",
    "chamfer", "chamfer_ratio", "clearance", "color", "comment", "company", "component_class",
    "component_classes", "connect_pads", "copper_finish", "copperpour", "covering", "crossbar", "curve",
    "curve_points", "curved_edges", "custom_fields", "data", "date", "descr", "die_delay", "die_length",
    "dielectric_constraints", "diff_pair_gap", "diff_pair_width", "dimension", "dnp", "drill",
    "duplicate_pad_numbers_are_jumpers", "edge_width", "effects", "embedded_files", "embedded_fonts",
    "enabled", "end", "epsilon_r", "exclude_from_bom", "exclude_from_pos_files", "extension_height",
    "extension_offset", "feature1", "feature2", "fill", "fill_segments", "filled_areas_thickness",
    "filled_polygon", "filling", "filter_ratio", "font", "footprint", "footprints", "format", "fp_arc",
    "fp_bbox", "fp_circle", "fp_curve", "fp_line", "fp_poly", "fp_rect", "fp_text", "fp_text_box", "free",
    "front_post_machining", "general", "generated", "generator", "generator_version", "gr_arc", "gr_bbox",
    "gr_circle", "gr_curve", "gr_line", "gr_poly", "gr_rect", "gr_text", "gr_text_box", "gr_vector",
    "grid_origin", "group", "hatch", "hatch_border_algorithm", "hatch_gap", "hatch_min_hole_area",
    "hatch_orientation", "hatch_position", "hatch_smoothing_level", "hatch_smoothing_value",
    "hatch_thickness", "height", "hide", "hole_clearance", "host", "image", "image_data", "island",
    "island_area_min", "island_removal_mode", "jumper_pad_groups", "justify", "keep_end_layers",
    "keep_upright", "keepout", "kicad_pcb", "knockout", "last_trace_width", "layer", "layers", "links",
    "locked", "loss_tangent", "material", "max_length", "max_width", "members", "mid", "min_thickness",
    "mod_edge_width", "mod_text_size", "mod_text_width", "mode", "model", "module", "name", "net",
    "net_chain", "net_chains", "net_class", "net_inspector", "net_name", "net_tie_pad_groups",
    "no_connects", "offset", "options", "pad", "pad_drill", "pad_size", "pad_to_mask_clearance",
    "pad_to_paste_clearance", "pads", "padstack", "page", "paper", "path", "pcb_text", "pcb_text_size",
    "pcb_text_width", "pcbplotparams", "pinfunction", "pins", "pintype", "placed", "placement", "plugging",
    "point", "polygon", "post_machining", "precision", "prefer_zone_pads", "primitives", "priority",
    "private_layers", "property", "pts", "radius", "radius_inner", "rect_delta", "remove_unused_layer",
    "remove_unused_layers", "render_cache", "rev", "rotate", "roundrect_rratio", "scale", "segment",
    "segment_width", "setup", "sheetfile", "sheetname", "sheetproperty", "size", "smoothing",
    "solder_mask_margin", "solder_mask_min_width", "solder_paste_margin", "solder_paste_margin_ratio",
    "solder_paste_ratio", "stackup", "start", "status", "stroke", "style", "table", "tags", "target",
    "teardrops", "tedit", "tenting", "tertiary_drill", "text_position_mode", "thermal_bridge_angle",
    "thermal_bridge_width", "thermal_gap", "thermal_relief", "thermal_width", "thickness", "title",
    "title_block", "trace_clearance", "trace_min", "trace_width", "tracks", "tstamp", "tuning_profile",
    "type", "unit", "units", "units_format", "unlocked", "user_trace_width", "user_via", "uuid", "uvia_dia",
    "uvia_drill", "uvia_min_drill", "uvia_min_size", "uvia_size", "uvias_allowed", "variant", "variants",
    "version", "via", "via_dia", "via_drill", "via_min_drill", "via_min_size", "via_size", "vias",
    "visible_elements", "width", "xy", "xyz", "zone", "zone_45_only", "zone_clearance", "zone_connect",
    "zone_layer_connections", "zones",
    // clang-format on
};

constexpr bool in_order() {
  for (std::size_t i = 1; i < kWords.size(); ++i) {
    if (kWords[i - 1] >= kWords[i]) return false;
  }
  return true;
}
static_assert(in_order());

}  // namespace

bool is_known_word(std::string_view word) {
  return std::binary_search(kWords.begin(), kWords.end(), word);
}

}  // namespace landfall::importers::kicad_board
