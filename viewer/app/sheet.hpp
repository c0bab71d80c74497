// The sheet: all that is known about one ball, net, part, class or group, as lines of words. The window draws
// it, the clipboard gets it as text; every name in it that can be followed carries its topic.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "netdb/model/job.hpp"
#include "netdb/rework/assess.hpp"
#include "viewer/app/readings.hpp"
#include "viewer/app/topic.hpp"

namespace landfall::app {

enum class Tone { kBody, kBold, kNote, kItalic, kName };  // kName: as a file wrote it

struct SheetPiece {
  std::string text;
  Tone tone = Tone::kBody;
  std::optional<Topic> link;
  // Signs drawn before the text, which says the same in words.
  std::optional<SignalClass> signal_class;
  std::optional<MarkKind> mark;
  std::optional<rework::Need> need;
  std::optional<rework::State> state;
  std::int64_t take_back = 0;  // a fact's number: the words take it back
};

struct SheetLine {
  std::string label;               // at the left; a caption's word in capitals
  bool caption = false;            // begins a section
  std::vector<SheetPiece> pieces;  // a caption's stand at the right
};

struct Sheet {
  Topic topic;
  std::string title;              // a ball's name without its part; else the topic's name
  std::vector<SheetPiece> under;  // beside or below the title
  std::vector<SheetLine> lines;
};

struct SheetInput {
  const OpenBoard* board = nullptr;  // required
  const Package* package = nullptr;  // required: what the map shows
  const Job* job = nullptr;
  const rework::Assessment* assessment = nullptr;
  bool mils = false;
  const ReadingSheet* readings = nullptr;
};

// The topic must exist on the board. O(pins of the nets it speaks of).
Sheet make_sheet(const SheetInput& in, Topic topic);

// Title, then a line each: label, tab, words. Signs are left out: their words stand there.
std::string sheet_text(const Sheet& sheet);

// "0.80 mm" or "31.5 mil".
std::string length_text(Nm length, bool mils, int mm_places = 2);

}  // namespace landfall::app
