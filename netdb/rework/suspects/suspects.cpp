#include "netdb/rework/suspects/suspects.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <random>
#include <set>

#include <fmt/format.h>

#include "netdb/rework/sites.hpp"

namespace landfall::rework {
namespace {

// Log likelihood of `hits` among `n` at their own best rate.
double log_likelihood(double hits, double n) {
  if (n <= 0 || hits <= 0 || hits >= n) return 0;
  return hits * std::log(hits / n) + (n - hits) * std::log((n - hits) / n);
}

// Inside fails more often than outside, by how much more likely than one rate for all.
double score_of(int dark_in, int in, int dark, int all) {
  if (in == 0 || in == all || dark_in * (all - in) <= (dark - dark_in) * in) return 0;
  return log_likelihood(dark_in, in) + log_likelihood(dark - dark_in, all - in) - log_likelihood(dark, all);
}

// The lines on one part. Of an array: a grid of line numbers (-1: none), else only the set.
struct Place {
  Index part = kNone;
  bool array = false;
  int rows = 0, columns = 0;
  std::vector<int> grid;
  std::vector<int> lines;  // distinct, sorted
};

struct Window {
  double score = 0;
  int top = 0, left = 0, bottom = 0, right = 0;
};

class Scan {
 public:
  explicit Scan(const SuspectInput& in) : in_(in), index_(*in.index), board_(in.index->board()) {}

  SuspectAnswer run() {
    collect_lines();
    answer_.lines = lines_.size();
    if (dark_count_ == 0 || dark_count_ == static_cast<int>(lines_.size())) {
      answer_.says = dark_count_ == 0 ? "no dark line was named"
                                      : "no good line is known beside the dark ones, so no place stands out";
      return std::move(answer_);
    }
    collect_places();
    std::vector<Window> best;
    best.reserve(places_.size());
    for (const Place& place : places_) best.push_back(best_window(place, dark_));
    const std::vector<double> shuffled = shuffle();
    for (std::size_t p = 0; p < places_.size(); ++p) {
      if (best[p].score > 0) answer_.suspects.push_back(suspect_of(places_[p], best[p], shuffled));
    }
    std::stable_sort(answer_.suspects.begin(), answer_.suspects.end(),
                     [](const Suspect& a, const Suspect& b) { return a.score > b.score; });
    if (answer_.suspects.size() > 8) answer_.suspects.resize(8);
    next_tests();
    say();
    return std::move(answer_);
  }

 private:
  void add_line(Index net, bool dark) {
    if (net == kNone || number_.contains(net)) return;
    number_[net] = static_cast<int>(lines_.size());
    lines_.push_back(net);
    dark_.push_back(dark ? 1 : 0);
    dark_count_ += dark ? 1 : 0;
  }

  void collect_lines() {
    for (const Index net : in_.symptoms.dark) add_line(net, true);
    for (const Index net : in_.symptoms.good) add_line(net, false);
    if (!in_.symptoms.good.empty()) return;
    std::set<Index> channels;
    std::set<Index> buses;
    for (const Index net : in_.symptoms.dark) {
      channels.insert(in_.signals->nets[net].channel);
      buses.insert(in_.signals->nets[net].bus);
    }
    channels.erase(kNone);
    buses.erase(kNone);
    for (std::size_t n = 0; n < in_.signals->nets.size(); ++n) {
      const NetSignal& signal = in_.signals->nets[n];
      if (channels.contains(signal.channel) || buses.contains(signal.bus))
        add_line(static_cast<Index>(n), false);
    }
  }

  [[nodiscard]] int line_of(Index pin) const {
    const auto found = number_.find(board_.pins[pin].net);
    return found == number_.end() ? -1 : found->second;
  }

  void collect_places() {
    std::set<Index> arrays;
    for (const Package& package : in_.packages) {
      if (package.kind != PackageKind::kAreaArray) continue;
      Place place;
      place.part = package.part;
      place.array = true;
      place.rows = package.rows;
      place.columns = package.columns;
      place.grid.assign(static_cast<std::size_t>(package.rows) * static_cast<std::size_t>(package.columns),
                        -1);
      for (const PackageSite& site : package.sites) {
        const int row = site.site.row - 1;
        const int column = site.site.column - 1;
        if (row < 0 || column < 0 || row >= place.rows || column >= place.columns) continue;
        place.grid[static_cast<std::size_t>(row * place.columns + column)] = line_of(site.pin);
      }
      // A line with several balls here (a rail) lies nowhere in particular.
      std::map<int, int> balls;
      for (const int line : place.grid) ++balls[line];
      for (int& line : place.grid) {
        if (line >= 0 && balls[line] > 1) line = -1;
      }
      arrays.insert(package.part);
      keep(std::move(place));
    }
    for (std::size_t p = 0; p < board_.parts.size(); ++p) {
      const auto part = static_cast<Index>(p);
      if (arrays.contains(part) || !board_.parts[p].fitted) continue;
      Place place;
      place.part = part;
      for (const Index pin : index_.pins_of_part(part)) {
        if (const int line = line_of(pin); line >= 0) place.lines.push_back(line);
      }
      keep(std::move(place));
    }
  }

  void keep(Place place) {
    if (place.array) place.lines.insert(place.lines.end(), place.grid.begin(), place.grid.end());
    std::sort(place.lines.begin(), place.lines.end());
    place.lines.erase(std::unique(place.lines.begin(), place.lines.end()), place.lines.end());
    if (!place.lines.empty() && place.lines.front() < 0) place.lines.erase(place.lines.begin());
    if (place.lines.size() >= 2) places_.push_back(std::move(place));
  }

  // All windows up to the widest side, by sums over the grid; of a part that is no array the whole of it.
  Window best_window(const Place& place, const std::vector<char>& dark) const {
    const int all = static_cast<int>(lines_.size());
    Window best;
    if (!place.array) {
      int hits = 0;
      for (const int line : place.lines) hits += dark[static_cast<std::size_t>(line)];
      best.score = score_of(hits, static_cast<int>(place.lines.size()), dark_count_, all);
      return best;
    }
    const auto width = static_cast<std::size_t>(place.columns + 1);
    std::vector<int> lines((static_cast<std::size_t>(place.rows) + 1) * width, 0);
    std::vector<int> hits(lines.size(), 0);
    for (std::size_t r = 0; r < static_cast<std::size_t>(place.rows); ++r) {
      for (std::size_t c = 0; c < static_cast<std::size_t>(place.columns); ++c) {
        const int line = place.grid[r * static_cast<std::size_t>(place.columns) + c];
        const auto sum = [&](std::vector<int>& sums, int own) {
          sums[(r + 1) * width + c + 1] =
              sums[r * width + c + 1] + sums[(r + 1) * width + c] - sums[r * width + c] + own;
        };
        sum(lines, line >= 0 ? 1 : 0);
        sum(hits, line >= 0 ? dark[static_cast<std::size_t>(line)] : 0);
      }
    }
    const auto within = [&](const std::vector<int>& sums, int top, int left, int bottom, int right) {
      const auto at = [&](int r, int c) {
        return sums[static_cast<std::size_t>(r) * width + static_cast<std::size_t>(c)];
      };
      return at(bottom + 1, right + 1) - at(top, right + 1) - at(bottom + 1, left) + at(top, left);
    };
    for (int top = 0; top < place.rows; ++top) {
      for (int bottom = top; bottom < std::min(place.rows, top + in_.widest); ++bottom) {
        for (int left = 0; left < place.columns; ++left) {
          for (int right = left; right < std::min(place.columns, left + in_.widest); ++right) {
            const int in = within(lines, top, left, bottom, right);
            if (in < 2 || in > all) continue;
            const double score = score_of(within(hits, top, left, bottom, right), in, dark_count_, all);
            if (score > best.score + 1e-9) best = {score, top, left, bottom, right};
          }
        }
      }
    }
    return best;
  }

  // The greatest score anywhere, for each shuffle of which lines are dark.
  std::vector<double> shuffle() const {
    std::mt19937 random(20'250'101);
    std::vector<char> dark = dark_;
    std::vector<double> greatest;
    for (int s = 0; s < in_.shuffles; ++s) {
      for (std::size_t i = dark.size(); i > 1; --i) std::swap(dark[i - 1], dark[random() % i]);
      double most = 0;
      for (const Place& place : places_) most = std::max(most, best_window(place, dark).score);
      greatest.push_back(most);
    }
    return greatest;
  }

  Suspect suspect_of(const Place& place, const Window& window, const std::vector<double>& shuffled) const {
    Suspect suspect;
    suspect.part = place.part;
    suspect.whole_part = !place.array;
    suspect.score = window.score;
    suspect.top = window.top;
    suspect.left = window.left;
    suspect.bottom = window.bottom;
    suspect.right = window.right;
    const auto as_high =
        std::count_if(shuffled.begin(), shuffled.end(), [&](double s) { return s >= window.score - 1e-9; });
    suspect.by_chance = static_cast<double>(as_high + 1) / static_cast<double>(shuffled.size() + 1);
    std::set<int> here;
    if (place.array) {
      for (int r = window.top; r <= window.bottom; ++r) {
        for (int c = window.left; c <= window.right; ++c) {
          const int line = place.grid[static_cast<std::size_t>(r * place.columns + c)];
          if (line >= 0) here.insert(line);
        }
      }
    } else {
      here.insert(place.lines.begin(), place.lines.end());
    }
    for (std::size_t l = 0; l < lines_.size(); ++l) {
      const bool in = here.contains(static_cast<int>(l));
      if (dark_[l] != 0) {
        (in ? suspect.dark : suspect.missed).push_back(lines_[l]);
      } else if (in) {
        suspect.good.push_back(lines_[l]);
      }
    }
    suspect.where = where(place, window);
    return suspect;
  }

  [[nodiscard]] std::string where(const Place& place, const Window& w) const {
    const std::string& reference = board_.parts[place.part].reference;
    if (!place.array) return reference;
    const auto package = std::find_if(in_.packages.begin(), in_.packages.end(),
                                      [&](const Package& p) { return p.part == place.part; });
    const auto name = [&](int row, int column) { return ball_text({row + 1, column + 1}); };
    const bool high = w.top + w.bottom < package->rows - 1;
    const bool left = w.left + w.right < package->columns - 1;
    const std::string corner = name(high ? 0 : package->rows - 1, left ? 0 : package->columns - 1);
    return fmt::format("{}, {} to {} (on the side of {})", reference, name(w.top, w.left),
                       name(w.bottom, w.right), corner);
  }

  // Between the best two: a line that one would have failed and the other not, and that nobody has called
  // yet, or that speaks against one of them.
  void next_tests() {
    if (answer_.suspects.size() < 2) return;
    const Suspect& a = answer_.suspects[0];
    const Suspect& b = answer_.suspects[1];
    const double weight = 1 / (1 + std::exp(b.score - a.score));  // of the first, with equal odds before
    const auto rate = [](const Suspect& s) {
      return (static_cast<double>(s.dark.size()) + 0.5) /
             (static_cast<double>(s.dark.size() + s.good.size()) + 1);
    };
    const double outside = 0.02;
    std::vector<NextTest> found;
    const auto offer = [&](const Suspect& own, const Suspect& other) {
      const std::set<Index> theirs_dark(other.dark.begin(), other.dark.end());
      const std::set<Index> theirs_good(other.good.begin(), other.good.end());
      for (const Index net : own.good) {
        if (theirs_dark.contains(net) || theirs_good.contains(net)) continue;
        const double p_own = rate(own);
        const double p_a = &own == &a ? p_own : outside;
        const double p_b = &own == &a ? outside : p_own;
        found.push_back({net,
                         fmt::format("read {} at {}: open speaks for it, good against it",
                                     board_.nets[net].name, own.where),
                         gain(weight, p_a, p_b)});
      }
    };
    offer(a, b);
    offer(b, a);
    std::stable_sort(found.begin(), found.end(),
                     [](const NextTest& x, const NextTest& y) { return x.bits > y.bits; });
    // What tells next to nothing is not worth a probe.
    const bool untold = !found.empty();
    std::erase_if(found, [](const NextTest& test) { return test.bits < kLeastBits; });
    if (found.size() > 4) found.resize(4);
    answer_.next = std::move(found);
    if (!answer_.next.empty()) return;
    answer_.no_test =
        untold
            ? fmt::format("one more reading would tell next to nothing: {} is far ahead of {}", a.where,
                          b.where)
            : fmt::format("no reading of these lines separates {} from {}: look at both", a.where, b.where);
  }

  static constexpr double kLeastBits = 0.005;  // below it the gain is written 0.00

  static double entropy(double p) {
    if (p <= 0 || p >= 1) return 0;
    return -(p * std::log2(p) + (1 - p) * std::log2(1 - p));
  }

  // Expected gain, in bits, about which of two holds, from one reading that is open with p_a under one, p_b
  // under the other.
  static double gain(double weight, double p_a, double p_b) {
    const double open = weight * p_a + (1 - weight) * p_b;
    const double after_open = open > 0 ? weight * p_a / open : 0;
    const double after_good = open < 1 ? weight * (1 - p_a) / (1 - open) : 0;
    return entropy(weight) - open * entropy(after_open) - (1 - open) * entropy(after_good);
  }

  void say() {
    if (answer_.suspects.empty()) {
      answer_.says = "the dark lines meet nowhere more than chance would have it";
      return;
    }
    const Suspect& best = answer_.suspects.front();
    if (best.by_chance > 0.5) {
      answer_.says = "the dark lines meet nowhere more than chance would have it";
      return;
    }
    answer_.says =
        fmt::format("{} of {} dark lines meet at {}, with {} good ones among them; by chance {}",
                    best.dark.size(), dark_count_, best.where, best.good.size(), odds(best.by_chance));
    if (answer_.suspects.size() > 1) {
      const Suspect& second = answer_.suspects[1];
      answer_.says +=
          fmt::format("; {}: {} ({} of {})", second.score > best.score - 1e-6 ? "just as well" : "next best",
                      second.where, second.dark.size(), dark_count_);
    }
  }

  [[nodiscard]] std::string odds(double by_chance) const {
    if (by_chance <= 1.5 / (in_.shuffles + 1))
      return fmt::format("less often than 1 in {}", in_.shuffles + 1);
    return fmt::format("1 in {:.0f}", std::max(1 / by_chance, 1.0));
  }

  const SuspectInput& in_;
  const BoardIndex& index_;
  const Board& board_;
  std::map<Index, int> number_;
  std::vector<Index> lines_;
  std::vector<char> dark_;
  int dark_count_ = 0;
  std::vector<Place> places_;
  SuspectAnswer answer_;
};

}  // namespace

SuspectAnswer find_suspects(const SuspectInput& input) {
  return Scan(input).run();
}

}  // namespace landfall::rework
