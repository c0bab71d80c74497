// Any bytes at all: a design or an error, never a crash, a hang or a leak.
#include <cstdint>
#include <cstdlib>
#include <string>

#include "importers/ball_list/ball_list.hpp"
#include "importers/bsdl/bsdl.hpp"
#include "importers/ibis/ibis.hpp"
#include "importers/ipc_2581/ipc_2581.hpp"
#include "importers/ipc_d_356/ipc_d_356.hpp"
#include "importers/kicad_board/kicad_board.hpp"
#include "importers/kicad_library/kicad_library.hpp"
#include "importers/kicad_netlist/kicad_netlist.hpp"
#include "netdb/model/board_index.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string bytes(reinterpret_cast<const char*>(data), size);
  landfall::Diagnostics log;
  const auto design = landfall::importers::FUZZ_READER(bytes, log);
  if (!design && !log.has_errors()) std::abort();  // refused without a word
  if (design) {
    const landfall::BoardIndex index(design->board);
    for (const landfall::Pin& pin : design->board.pins) {
      if (pin.part >= design->board.parts.size()) std::abort();
      if (pin.net != landfall::kNone && pin.net >= design->board.nets.size()) std::abort();
    }
    for (const landfall::Land& land : design->board.lands) {
      if (land.net != landfall::kNone && land.net >= design->board.nets.size()) std::abort();
      if (land.pin != landfall::kNone && land.pin >= design->board.pins.size()) std::abort();
    }
    for (const landfall::Via& via : design->board.vias) {
      if (via.net != landfall::kNone && via.net >= design->board.nets.size()) std::abort();
      if (via.first > via.last) std::abort();
    }
  }
  return 0;
}
