// What a file's records say, before the whole file is known: long names may be explained at its end, and the
// bottom layer's number and the mask's polarity come from the majority.
#pragma once

#include <deque>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "importers/ipc_d_356/record.hpp"
#include "netdb/model/board.hpp"
#include "netdb/model/diagnostics.hpp"

namespace landfall::importers::ipc_d_356 {

struct Feature {
  Record record;         // views into the file
  std::size_t line = 0;  // from 1
};

struct Conductor {
  std::string_view net;
  int layer = 0;  // from 1; 0 for an outline
  Nm width = 0;
  std::vector<Point> points;  // one chain
  bool outline = false;
};

struct Drafts {
  Nm unit = kNmPerTenthMil;
  bool units_stated = false;
  bool ended = false;  // a 999 was there
  std::string version, writer;
  std::unordered_map<std::string, std::string> long_names;
  std::vector<Feature> features;
  std::vector<Conductor> conductors;
  std::size_t other_images = 0;
};

// Reads every line. Never fails; what it skipped is in `log`. `kept` holds names that a tab or a short line
// moved: it must live as long as the drafts.
Drafts read_lines(std::string_view bytes, Diagnostics& log, std::deque<std::string>& kept);

// The board that the drafts are of.
Board build_board(const Drafts& drafts, Diagnostics& log);

}  // namespace landfall::importers::ipc_d_356
