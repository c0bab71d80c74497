// How a bench file is opened: what it is, whether it may be written, whether it must be made or brought up to
// date. Until a file is known to be a bench file of a version that this program writes, nothing is written.
#pragma once

#include <filesystem>

#include "netdb/model/result.hpp"
#include "netdb/store/sqlite.hpp"

namespace landfall::store {

// A connection to a bench file of the newest version, ready for use; read-only where it may not be written.
// kBench in one sentence, and the file with its log as it was, for what is no bench file, is another
// program's database, is from a newer version, is damaged, or is older and may not be written.
Result<Database> open_bench_file(const std::filesystem::path& file);

}  // namespace landfall::store
