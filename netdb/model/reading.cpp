#include "netdb/model/reading.hpp"

namespace landfall {

std::string_view word(ReadingMode mode) {
  return mode == ReadingMode::kDiode ? "diode" : "ohm";
}

std::string_view word(ReadingStage stage) {
  return stage == ReadingStage::kBefore ? "before" : "after";
}

}  // namespace landfall
