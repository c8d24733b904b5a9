// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/kept_values.h"

#include <QSettings>
#include <map>
#include <utility>

namespace hangtrue::desktop {

KeptValues::KeptValues(QString file) : m_file(std::move(file)) {
    const QSettings settings(m_file, QSettings::IniFormat);
    for (const QString& key : settings.allKeys()) m_values.insert(key, settings.value(key));
}

KeptValues::~KeptValues() {
    {
        const std::lock_guard lock(m_mutex);
        m_is_ending = true;
    }
    m_changed.notify_all();
    if (m_writer.joinable()) m_writer.join();
}

void KeptValues::set(const QString& key, const QVariant& value) {
    if (m_values.contains(key) && m_values.value(key) == value) return;
    m_values.insert(key, value);
    {
        const std::lock_guard lock(m_mutex);
        m_unwritten.insert(key, value);
    }
    if (!m_writer.joinable()) m_writer = std::thread([this] { write_what_comes(); });
    m_changed.notify_all();
}

void KeptValues::write_what_comes() {
    std::unique_lock lock(m_mutex);
    while (true) {
        m_changed.wait(lock, [this] { return m_is_ending || !m_unwritten.isEmpty(); });
        if (m_unwritten.isEmpty()) return;
        const QHash<QString, QVariant> values = std::exchange(m_unwritten, {});
        lock.unlock();
        {
            QSettings settings(m_file, QSettings::IniFormat);
            for (auto value = values.begin(); value != values.end(); ++value) {
                settings.setValue(value.key(), value.value());
            }
        }  // Written whole, or not at all.
        lock.lock();
    }
}

std::shared_ptr<KeptValues> kept_values(const std::filesystem::path& file) {
    static std::map<std::filesystem::path, std::weak_ptr<KeptValues>> open;
    std::weak_ptr<KeptValues>& known = open[file];
    std::shared_ptr<KeptValues> values = known.lock();
    if (!values) known = values = std::make_shared<KeptValues>(QString::fromStdString(file.string()));
    return values;
}

}  // namespace hangtrue::desktop
