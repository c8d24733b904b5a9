// SPDX-License-Identifier: Apache-2.0
#pragma once

/// A small file of named values: read once when it is opened, written on a thread of its own, so that a slow disk never
/// holds up the window.

#include <QHash>
#include <QString>
#include <QVariant>
#include <condition_variable>
#include <filesystem>
#include <memory>
#include <mutex>
#include <thread>

namespace hangtrue::desktop {

/// All functions are called on one thread.
class KeptValues {
  public:
    explicit KeptValues(QString file);
    /// Writes what is not written yet.
    ~KeptValues();
    KeptValues(const KeptValues&) = delete;
    KeptValues& operator=(const KeptValues&) = delete;

    QVariant value(const QString& key) const { return m_values.value(key); }
    void set(const QString& key, const QVariant& value);

  private:
    void write_what_comes();

    const QString m_file;
    QHash<QString, QVariant> m_values;
    std::mutex m_mutex;  ///< Of what follows.
    std::condition_variable m_changed;
    QHash<QString, QVariant> m_unwritten;
    bool m_is_ending = false;
    std::thread m_writer;  ///< Begun by the first value that is set.
};

/// The same for all who ask for the same file while one of them lives.
std::shared_ptr<KeptValues> kept_values(const std::filesystem::path& file);

}  // namespace hangtrue::desktop
