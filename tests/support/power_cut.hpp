// A file layer under SQLite that can lose its power: after so many operations nothing more reaches the disk,
// and of what was written but not synced any part may be missing, sector by sector. Real files hold what the
// program sees; what the disk would hold is kept beside them. https://www.sqlite.org/c3ref/vfs.html has the
// interface, section "powersafe overwrite" of https://www.sqlite.org/psow.html what is assumed of a sector.
#pragma once

#include <algorithm>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <map>
#include <random>
#include <string>
#include <vector>

#include <sqlite3.h>

namespace landfall::testing {

class PowerCut {
 public:
  // From now on SQLite opens its files through this layer. One at a time.
  PowerCut() {
    real_ = sqlite3_vfs_find(nullptr);
    vfs_ = *real_;
    vfs_.szOsFile = static_cast<int>(sizeof(File)) + real_->szOsFile;
    vfs_.zName = "power-cut";
    vfs_.pAppData = this;
    vfs_.xOpen = open;
    vfs_.xDelete = remove;
    sqlite3_vfs_register(&vfs_, 1);
    fill_methods();
  }
  ~PowerCut() {
    sqlite3_vfs_unregister(&vfs_);
    sqlite3_vfs_register(real_, 1);
  }
  PowerCut(const PowerCut&) = delete;
  PowerCut& operator=(const PowerCut&) = delete;

  // The power goes at the operation after so many writes, cuts and syncs.
  void cut_after(long operations) { left_ = operations; }
  [[nodiscard]] bool is_off() const { return off_; }
  [[nodiscard]] long operations() const { return done_; }
  // A disk that says "synced" and is not: what a test must notice.
  void lie_about_syncs() { lying_ = true; }

  // What the disk holds when the power is back, under `to`; of unsynced sectors about half.
  void lay_down(const std::filesystem::path& to, std::mt19937& random) {
    std::filesystem::create_directories(to);
    for (auto& [name, disk] : disks_) {
      if (!disk.there) continue;
      std::string bytes = disk.synced;
      for (const Write& write : disk.pending) {
        if (write.cut_to >= 0) {
          if (random() % 2 == 0) bytes.resize(static_cast<std::size_t>(write.cut_to));
          continue;
        }
        constexpr std::size_t kSector = 512;
        for (std::size_t at = 0; at < write.bytes.size(); at += kSector) {
          if (random() % 2 == 0) put(bytes, write.at + at, write.bytes.substr(at, kSector));
        }
      }
      std::ofstream(to / std::filesystem::path(name).filename(), std::ios::binary) << bytes;
    }
  }

 private:
  struct Write {
    std::size_t at = 0;
    std::string bytes;
    sqlite3_int64 cut_to = -1;
  };
  struct Disk {
    std::string synced;
    std::vector<Write> pending;
    bool there = true;
  };
  struct File {
    sqlite3_file base;
    PowerCut* layer;
    Disk* disk;  // none: a file that no power cut matters to
    sqlite3_file* real;
  };

  static void put(std::string& bytes, std::size_t at, const std::string& piece) {
    if (bytes.size() < at + piece.size()) bytes.resize(at + piece.size());
    std::copy(piece.begin(), piece.end(), bytes.begin() + static_cast<std::ptrdiff_t>(at));
  }
  static File* own(sqlite3_file* file) { return reinterpret_cast<File*>(file); }
  static sqlite3_file* real(sqlite3_file* file) { return own(file)->real; }

  bool has_power() {
    if (off_) return false;
    ++done_;
    if (left_ >= 0 && left_-- == 0) off_ = true;
    return !off_;
  }

  static int open(sqlite3_vfs* vfs, const char* name, sqlite3_file* file, int flags, int* out) {
    auto* layer = static_cast<PowerCut*>(vfs->pAppData);
    File* f = own(file);
    f->base.pMethods = nullptr;
    f->layer = layer;
    f->disk = nullptr;
    f->real = reinterpret_cast<sqlite3_file*>(reinterpret_cast<char*>(file) + sizeof(File));
    const bool counts = (flags & (SQLITE_OPEN_MAIN_DB | SQLITE_OPEN_WAL | SQLITE_OPEN_MAIN_JOURNAL)) != 0;
    if (counts && name != nullptr) {
      auto found = layer->disks_.find(name);
      if (found == layer->disks_.end()) {
        std::ifstream in(name, std::ios::binary);
        Disk disk;
        disk.synced.assign(std::istreambuf_iterator<char>(in), {});
        found = layer->disks_.emplace(name, std::move(disk)).first;
      }
      found->second.there = true;
      f->disk = &found->second;
    }
    const int code = layer->real_->xOpen(layer->real_, name, f->real, flags, out);
    if (code == SQLITE_OK) f->base.pMethods = &layer->methods_;
    return code;
  }
  static int remove(sqlite3_vfs* vfs, const char* name, int sync) {
    auto* layer = static_cast<PowerCut*>(vfs->pAppData);
    if (!layer->has_power()) return SQLITE_IOERR_DELETE;
    if (const auto found = layer->disks_.find(name); found != layer->disks_.end()) {
      found->second = Disk{};
      found->second.there = false;
    }
    return layer->real_->xDelete(layer->real_, name, sync);
  }
  static int write(sqlite3_file* file, const void* bytes, int n, sqlite3_int64 at) {
    File* f = own(file);
    if (f->disk == nullptr) return f->real->pMethods->xWrite(f->real, bytes, n, at);
    if (f->layer->off_) return SQLITE_IOERR_WRITE;
    // The write at which the power goes may reach the disk in part.
    const bool power = f->layer->has_power();
    f->disk->pending.push_back({static_cast<std::size_t>(at),
                                std::string(static_cast<const char*>(bytes), static_cast<std::size_t>(n)),
                                -1});
    if (!power) return SQLITE_IOERR_WRITE;
    return f->real->pMethods->xWrite(f->real, bytes, n, at);
  }
  static int truncate(sqlite3_file* file, sqlite3_int64 size) {
    File* f = own(file);
    if (f->disk != nullptr) {
      if (!f->layer->has_power()) return SQLITE_IOERR_TRUNCATE;
      f->disk->pending.push_back({0, "", size});
    }
    return f->real->pMethods->xTruncate(f->real, size);
  }
  // Nothing is asked of the real disk: what counts as synced is kept here.
  static int sync(sqlite3_file* file, int) {
    File* f = own(file);
    if (f->disk == nullptr) return SQLITE_OK;
    if (!f->layer->has_power()) return SQLITE_IOERR_FSYNC;
    if (f->layer->lying_) return SQLITE_OK;
    for (const Write& write : f->disk->pending) {
      if (write.cut_to >= 0) {
        f->disk->synced.resize(static_cast<std::size_t>(write.cut_to));
      } else {
        put(f->disk->synced, write.at, write.bytes);
      }
    }
    f->disk->pending.clear();
    return SQLITE_OK;
  }

  void fill_methods() {
    methods_.iVersion = 2;  // shared memory, but no mapped files: a store past this layer would be lost
    methods_.xClose = [](sqlite3_file* f) { return real(f)->pMethods->xClose(real(f)); };
    methods_.xRead = [](sqlite3_file* f, void* to, int n, sqlite3_int64 at) {
      return real(f)->pMethods->xRead(real(f), to, n, at);
    };
    methods_.xWrite = write;
    methods_.xTruncate = truncate;
    methods_.xSync = sync;
    methods_.xFileSize = [](sqlite3_file* f, sqlite3_int64* size) {
      return real(f)->pMethods->xFileSize(real(f), size);
    };
    methods_.xLock = [](sqlite3_file* f, int kind) { return real(f)->pMethods->xLock(real(f), kind); };
    methods_.xUnlock = [](sqlite3_file* f, int kind) { return real(f)->pMethods->xUnlock(real(f), kind); };
    methods_.xCheckReservedLock = [](sqlite3_file* f, int* out) {
      return real(f)->pMethods->xCheckReservedLock(real(f), out);
    };
    methods_.xFileControl = [](sqlite3_file* f, int op, void* what) {
      return real(f)->pMethods->xFileControl(real(f), op, what);
    };
    methods_.xSectorSize = [](sqlite3_file* f) { return real(f)->pMethods->xSectorSize(real(f)); };
    methods_.xDeviceCharacteristics = [](sqlite3_file* f) {
      return real(f)->pMethods->xDeviceCharacteristics(real(f));
    };
    methods_.xShmMap = [](sqlite3_file* f, int region, int size, int extend, void volatile** out) {
      return real(f)->pMethods->xShmMap(real(f), region, size, extend, out);
    };
    methods_.xShmLock = [](sqlite3_file* f, int at, int n, int flags) {
      return real(f)->pMethods->xShmLock(real(f), at, n, flags);
    };
    methods_.xShmBarrier = [](sqlite3_file* f) { real(f)->pMethods->xShmBarrier(real(f)); };
    methods_.xShmUnmap = [](sqlite3_file* f, int gone) {
      return real(f)->pMethods->xShmUnmap(real(f), gone);
    };
  }

  sqlite3_vfs* real_ = nullptr;
  sqlite3_vfs vfs_{};
  sqlite3_io_methods methods_{};
  std::map<std::string, Disk> disks_;
  long left_ = -1, done_ = 0;
  bool off_ = false, lying_ = false;
};

}  // namespace landfall::testing
