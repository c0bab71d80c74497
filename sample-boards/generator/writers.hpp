// The product in four formats, which agree pin for pin. Same product, same bytes.
#pragma once

#include <map>
#include <string>

#include "sample-boards/generator/router.hpp"

namespace landfall::sample {

std::string kicad_board(const Product& product, const Copper& copper);
std::string kicad_netlist(const Product& product);
std::string ipc_d_356(const Product& product, const Copper& copper);
std::string ball_list(const Product& product);

// All files by name, or none when some net found no way: "skua4.kicad_pcb", "skua4.net", "skua4.ipc",
// "skua4-u1-balls.csv".
std::map<std::string, std::string> skua4_files();

}  // namespace landfall::sample
