// What the technician measured or said, laid over files and marks. DESIGN.md section 5, "Facts".
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "viewer/app/desk.hpp"

namespace landfall::app {

// A fact out of the words that people type, checked against the board:
//   joined PART.PIN PART.PIN | open PART.PIN [PART.PIN] | named PART.PIN NET | via-good PART.BALL |
//   toward PART.BALL n|ne|e|se|s|sw|w|nw | spare PART.BALL |
//   ban X,Y [MM] | point NAME X,Y PART.PIN
// kUsage, or kNotFound for a pin that the board has not.
Result<Fact> read_fact(const OpenBoard& board, const std::vector<std::string>& words);

// Whether a line that begins so is a fact.
bool is_fact_word(std::string_view word);
// A typed line as words; a place keeps its comma.
std::vector<std::string> fact_words(std::string_view line);
// Which of the words are pins.
std::vector<std::size_t> pins_in_fact(const std::vector<std::string>& words);

// Reads the fact and keeps it for the job in the place of those that it outdoes. `board`: as told so far.
Result<Fact> tell_fact(store::Bench& bench, const OpenBoard& board, const Job& job,
                       const std::vector<std::string>& words, const std::string& now);

// The job's facts that this one says otherwise: the later reading counts.
std::vector<std::int64_t> outdone_by(const Job& job, const Fact& fact);

// Where the board can do without a pin that is not lost: that it counts only later. Empty for any other.
std::string fact_remark(const BoardIndex& index, const rework::Assessment& assessment, const Fact& fact);

// "U1.A1 beeps to R5.2".
std::string fact_text(const BoardIndex& index, const Fact& fact);

// The outcome that a number of the plan stands for; whether it worked is the caller's to say. kNotFound when
// the plan has no such number.
Result<Outcome> outcome_of(const PlanAnswer& plan, int number);

// "worked", "failed", "taken back".
std::string_view word_of(const Outcome& outcome);

// A row that takes back the last word on that number (0: on the whole job): on the place where the plan has
// it now, else on the place where it failed last. `outcomes`: of the job, oldest first. kNotFound when
// nothing stands there.
Result<Outcome> withdrawal_of(const PlanAnswer& plan, const std::vector<Outcome>& outcomes, int number);

// "4: U1.AA3 failed 2026-03-01, under the part; the plan has another way for it".
std::string failed_text(const FailedPiece& failed);

// The job's marks with what is said of their vias and traces.
void lay_facts_over_marks(Job& job);

// The board with the nets that the facts name; the same board when they name none.
std::shared_ptr<const OpenBoard> board_as_told(store::Bench& bench, std::shared_ptr<const OpenBoard> board,
                                               const Job& job);

// Bans and added landings of the job's facts.
void add_job_rules(const OpenBoard& board, const Job& job, rework::MendRules& rules);

// Of each piece of work (job, kind, near end, landing) the last word, which holds; oldest first. A row that
// takes back undoes the word before it, so that the one before that stands again. O(n log n).
std::vector<Outcome> standing(const std::vector<Outcome>& all);
// What counts for the shop's rates, one case a row: of a wire or rebuild the word that stands, so that a slip
// set right, by taking it back or by the other word, leaves no case. A wire that failed and was led to
// another landing is another piece: both count. Of a job as a whole each go that was not taken back.
std::vector<Outcome> cases(const std::vector<Outcome>& all);
// The standing outcome at a site and landing; null when there is none.
const Outcome* outcome_at(const std::vector<Outcome>& standing, const std::string& site, Point place,
                          bool rebuild);
// By its kind: where no places are known a wire's landing is 0, 0 as well.
bool is_rebuild(const Outcome& outcome);
// A ban where a wire failed, unless it was good there later.
void ban_failed(const std::vector<Outcome>& all, rework::MendRules& rules);

}  // namespace landfall::app
