// Files that come anew for a board: which of its files they take the place of, and what of the board stays.
#pragma once

#include <optional>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include "netdb/join/join.hpp"
#include "netdb/store/bench.hpp"

namespace landfall::app {

struct Revision {
  std::vector<store::SourceFile> gone, stay;  // of the board's files
  bool base_gone = false;                     // the file that gave nets and copper is among those that go
  // What stays of the board, and what it is called in messages. Of a board whose base goes only the words.
  Board board;
  std::string name, format;
  std::vector<std::pair<std::string, Board>> lists;  // parts known by a list alone that stay, by reference
  std::string new_base;                              // what gives nets and copper now, where the base goes
  // The netlist that stays beside a base that goes, as far as the board and its disagreements tell.
  std::optional<join::Source> netlist;
  std::vector<std::string> notes;  // what could not be kept
  // Pins that a file that goes called otherwise than the board does: their names are another file's.
  std::set<std::string> contested;
};

// The fuller file of a design gives its nets: a board its copper, a test netlist places.
int fullness(const std::string& format);
// Whether all are lists of one part's pins, and no board or netlist is among them.
bool all_lists(const std::vector<store::SourceFile>& files);
// Whether one of them has these very bytes, read alike.
bool has_content(const std::vector<store::SourceFile>& files, const store::SourceFile& file);
// "a.net and b.csv".
std::string file_names(const std::vector<store::SourceFile>& files);
const store::SourceFile* fullest(const std::vector<store::SourceFile>& files);  // the first such; or nothing

// A file of a board whose base was replaced beside it, and that was not held against the new one.
bool to_be_compared(const store::SourceFile& file);

// All that the board came from comes anew: a file of each format, and as many lists of a format as it has.
bool all_come_anew(const std::vector<store::SourceFile>& kept,
                   const std::vector<store::SourceFile>& incoming);

// A file takes the place of one of its format; a list only of one that is of the same part. What the board
// has from files that go goes too, as far as that can be told: parts without lands that no file names any
// more, and, when the base goes, nets and copper. What came `again`, in the same bytes, stays.
Revision revise(const Board& before, const std::vector<store::SourceFile>& kept,
                const std::vector<store::SourceFile>& incoming, const std::vector<join::Source>& sources,
                const std::vector<store::SourceFile>& again);

// "b.net now stands in the place of a.net", of a board's files before and after.
std::vector<std::string> places_taken(const std::vector<store::SourceFile>& before,
                                      const std::vector<store::SourceFile>& after);

// Where the base goes: the netlist that stays, put together again from what it agreed and disagreed with the
// old base, to be held against the new one. What else stays cannot be: the notes say so, and the file is to
// be compared when it comes again. A netlist that names no library parts cannot be told from the board's own
// pins.
void remember_netlist(const Board& before, const std::vector<store::KeptDisagreement>& disagreements,
                      Revision& revision);

// Of what files disagreed about before, what is still so: neither side has gone. Fills `contested`. Where the
// base goes, what a list calls a pin is held against the new base when it is known.
std::vector<store::KeptDisagreement> still_said(std::vector<store::KeptDisagreement> before,
                                                Revision& revision);

// Adds what was said before to what is said now, unless that is of the same kind and thing.
void keep_disagreements(std::vector<store::KeptDisagreement> before, const Board& now, store::Origin& origin);

// "U1.A1 was called RESET and is now called CLOCK", the first few.
std::vector<std::string> changes_of_names(const Board& before, const Board& after);

}  // namespace landfall::app
