// Where do the symptoms meet? Dark lines of a slot tester, missing rails, readings that are off name nets;
// this scores the places that would explain them: windows of sites on each area array, and other parts whole.
// The score is the likelihood ratio of a scan statistic (a Bernoulli model: lines inside fail at one rate,
// those outside at another), its significance by shuffling which lines are dark. Source of the statistic:
// Kulldorff, "A spatial scan statistic", Communications in Statistics 26 (1997), from memory. Pure; the
// shuffles have a fixed seed.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "netdb/model/board_index.hpp"
#include "netdb/model/package.hpp"
#include "netdb/model/signal.hpp"

namespace landfall::rework {

struct Symptoms {
  std::vector<Index> dark;  // nets that do not work
  std::vector<Index> good;  // nets seen to work; empty: all other nets of the dark ones' channels and buses
};

struct Suspect {
  Index part = kNone;
  bool whole_part = false;
  int top = 0, left = 0, bottom = 0,
      right = 0;            // rows and columns from 0, both ends included; not of a whole part
  std::string where;        // "U1, A1 to D4 (near the A1 corner)"
  double score = 0;         // log of the likelihood ratio
  double by_chance = 1;     // how often shuffled symptoms score as high anywhere, (hits + 1) / (shuffles + 1)
  std::vector<Index> dark;  // dark nets that meet here: for it
  std::vector<Index> good;  // good nets that are here as well: against it
  std::vector<Index> missed;  // dark nets that are not here: against it
};

// A reading that tells two suspects apart.
struct NextTest {
  Index net = kNone;
  std::string says;  // one sentence
  double bits = 0;   // expected gain of information between the best two
};

struct SuspectAnswer {
  std::vector<Suspect> suspects;  // best first, one a part: its best window
  std::vector<NextTest> next;     // most telling first, at most four; none that would tell nothing
  std::string no_test;            // where there are two suspects and nothing separates them: that, in words
  std::size_t lines = 0;          // dark and good together
  std::string says;               // the answer in one or two sentences
};

struct SuspectInput {
  const BoardIndex* index = nullptr;
  const Signals* signals = nullptr;
  std::vector<Package> packages;  // of the area arrays to be looked at
  Symptoms symptoms;
  int widest = 10;  // window's greatest side, in sites
  int shuffles = 999;
};

// O(shuffles x windows). Nothing is suspected (and that is said) when there is no dark line, or none is good.
SuspectAnswer find_suspects(const SuspectInput& input);

}  // namespace landfall::rework
