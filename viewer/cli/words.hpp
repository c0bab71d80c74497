// Pieces of answers that several commands share, as JSON and as text.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "netdb/model/counted.hpp"
#include "netdb/model/package.hpp"
#include "viewer/app/desk.hpp"
#include "viewer/cli/context.hpp"

namespace landfall::cli {

// A name, or null for none.
Json name_or_null(const std::string& name);

// Class, bus, lane and channel of a net: "class", "bus", "lane", "channel".
void add_groups(Json& answer, const Signals& signals, Index net);
std::string bus_name(const Signals& signals, Index net);
std::string lane_name(const Signals& signals, Index net);
std::string channel_name(const Signals& signals, Index net);
std::string class_name(const Signals& signals, Index net);
std::string net_name(const Board& board, Index net);

// One disagreement between a board's files.
Json disagreement_json(const store::KeptDisagreement& d);

Json why_json(const Signals& signals, Index net);

double mm_of(Nm nm);

// An answer about a board, with app::rescued_note as "rescued" where there is one.
Json with_rescued(Json answer, const std::optional<std::string>& note);

// False for a closed job, which takes no more work; it is said how it is opened again.
bool takes_work(Context& context, const Job& job);
// Takes the options out of words that stand at a command's end, where a '-' may begin a value: --json,
// --bench FILE, and --help, which throws as the parser does. kUsage for another word that begins with "--".
Status take_options(Context& context, std::vector<std::string>& words);
// A remark where the job's end is noted already, and what to do about a slip; empty where it is not.
std::string end_remark(store::Bench& bench, std::int64_t job);

}  // namespace landfall::cli
